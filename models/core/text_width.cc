#include "models/core/text_width.h"
#include "models/core/text_scan.h"
#include <algorithm>
#include <clocale>
#include <cwchar>
#include <sstream>
#include <wchar.h>

namespace stifle
{
namespace
{
/// wcwidth asks the locale of the thread; Debian always has C.UTF-8.
class Utf8Locale
{
public:
  Utf8Locale() : before_(uselocale(utf8())) {}
  ~Utf8Locale() { uselocale(before_); }
  Utf8Locale(const Utf8Locale &) = delete;
  Utf8Locale &operator=(const Utf8Locale &) = delete;

private:
  static locale_t utf8()
  {
    static const locale_t made = newlocale(LC_CTYPE_MASK, "C.UTF-8", nullptr);
    return made;
  }
  locale_t before_;
};

struct Character
{
  std::size_t bytes;
  int         columns;
};

Character character_at(const std::string &text, std::size_t i)
{
  const std::size_t bytes = std::max<std::size_t>(utf8_length(text, i), 1);
  wchar_t           wide  = 0;
  std::mbstate_t    state{};
  const std::size_t read  = std::mbrtowc(&wide, text.data() + i, bytes, &state);
  const int columns = read == bytes ? wcwidth(wide) : 1;
  return {bytes, columns < 0 ? 1 : columns};
}

/// Words of one line, put together again in lines of at most `columns`; the spaces at its beginning stay.
std::string wrapped_line(const std::string &line, int columns, int indent)
{
  const std::size_t  first = line.find_first_not_of(' ');
  std::istringstream words(line);
  std::string        out(first == std::string::npos ? 0 : first, ' '), word;
  int                used  = static_cast<int>(out.size());
  bool               begun = false;
  while (words >> word)
  {
    const int width = display_width(word);
    if (begun && used + 1 + width > columns)
    {
      out += "\n" + std::string(first + indent, ' ');
      used  = static_cast<int>(first) + indent;
      begun = false;
    }
    out += (begun ? " " : "") + word;
    used += width + begun;
    begun = true;
  }
  return out;
}
} // namespace

int display_width(const std::string &line)
{
  const Utf8Locale here;
  int              columns = 0;
  for (std::size_t i = 0; i < line.size();)
  {
    const Character c = character_at(line, i);
    columns += c.columns;
    i += c.bytes;
  }
  return columns;
}

std::string cut_to_width(const std::string &line, int columns)
{
  if (display_width(line) <= columns)
    return line;
  const std::string mark = std::string("...").substr(0, std::max(columns, 0));
  const Utf8Locale  here;
  int               used = static_cast<int>(mark.size());
  std::size_t       i    = 0;
  while (i < line.size())
  {
    const Character c = character_at(line, i);
    if (used + c.columns > columns)
      break;
    used += c.columns;
    i += c.bytes;
  }
  return line.substr(0, i) + mark;
}

std::string wrap_text(const std::string &text, int columns, int indent)
{
  std::string out;
  for (std::size_t begin = 0; begin < text.size();)
  {
    const std::size_t end  = std::min(text.find('\n', begin), text.size());
    const std::string line = text.substr(begin, end - begin);
    out += display_width(line) <= columns ? line : wrapped_line(line, columns, indent);
    if (end < text.size())
      out += '\n';
    begin = end + 1;
  }
  return out;
}
} // namespace stifle
