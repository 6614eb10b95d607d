#include "models/core/nearest.h"
#include <algorithm>

namespace stifle
{
int edit_distance(const std::string &a, const std::string &b)
{
  std::vector<std::vector<int>> d(a.size() + 1, std::vector<int>(b.size() + 1));
  for (std::size_t i = 0; i <= a.size(); ++i)
    d[i][0] = int(i);
  for (std::size_t j = 0; j <= b.size(); ++j)
    d[0][j] = int(j);
  for (std::size_t i = 1; i <= a.size(); ++i)
    for (std::size_t j = 1; j <= b.size(); ++j)
    {
      d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (a[i - 1] != b[j - 1])});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
    }
  return d[a.size()][b.size()];
}

std::string nearest_word(const std::string &word, const std::vector<std::string> &choices)
{
  std::string best;
  int         best_distance = 3;
  for (const std::string &choice : choices)
  {
    // The table grows with the product of the lengths: a long word is never near a key.
    if (word.empty() || word.size() > choice.size() + 2)
      continue;
    const int distance = edit_distance(word, choice);
    if (distance < best_distance && distance < int(choice.size()))
    {
      best          = choice;
      best_distance = distance;
    }
  }
  return best;
}

std::string join(const std::vector<std::string> &words)
{
  std::string text;
  for (const std::string &word : words)
    text += (text.empty() ? "" : ", ") + word;
  return text;
}
} // namespace stifle
