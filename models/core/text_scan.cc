#include "models/core/text_scan.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr int max_line_bytes = 10'000;
constexpr int max_depth      = 40;

struct Scan
{
  const std::string &file, &content;
  int line = 1, column = 1, brackets = 0, dashes = 0;

  std::optional<InputProblem> bad(const std::string &message, const std::string &found, const std::string &allowed) const
  {
    return InputProblem{file, line, column, message, found, allowed, "", ""};
  }
};

/// Brackets are counted everywhere, quotes and comments too: an upper bound that costs nothing. A comment line is skipped.
void count_depth(Scan &scan, char c)
{
  if (c == '[' || c == '{')
    ++scan.brackets;
  else if (c == ']' || c == '}')
    scan.brackets = std::max(0, scan.brackets - 1);
  else if (c == '-' || c == '?')
    ++scan.dashes;
  else if (c != ' ')
    scan.dashes = 0;
}

void next_line(Scan &scan)
{
  ++scan.line;
  scan.column = 1;
  scan.dashes = 0;
}

std::optional<InputProblem> check_character(const Scan &scan, std::size_t i)
{
  const unsigned char c = static_cast<unsigned char>(scan.content[i]);
  if (c == 0)
    return scan.bad("the file contains a NUL byte: it is not a text file", "\\x00", "YAML text in UTF-8");
  if ((c < 0x20 && c != '\n' && c != '\r' && c != '\t') || c == 0x7f)
    return scan.bad("the file contains a control character", fmt::format("\\x{:02x}", c), "YAML text in UTF-8");
  if (utf8_length(scan.content, i) == 0)
    return scan.bad("the file is not valid UTF-8", fmt::format("\\x{:02x}", c), "YAML text in UTF-8");
  if (scan.column > max_line_bytes)
    return scan.bad("a line is too long", "", fmt::format("at most {} bytes a line", max_line_bytes));
  if (scan.brackets > max_depth || scan.dashes > max_depth)
    return scan.bad("lists or mappings are nested too deeply", "", fmt::format("at most {} levels", max_depth));
  return {};
}
} // namespace

std::size_t utf8_length(const std::string &text, std::size_t i)
{
  const auto          byte   = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const unsigned char first  = byte(i);
  std::size_t         length = 0;
  if (first < 0x80)
    return 1;
  if (first >= 0xc2 && first < 0xe0)
    length = 2;
  else if (first >= 0xe0 && first < 0xf0)
    length = 3;
  else if (first >= 0xf0 && first < 0xf5)
    length = 4;
  if (length == 0 || i + length > text.size())
    return 0;
  for (std::size_t k = 1; k < length; ++k)
    if ((byte(i + k) & 0xc0) != 0x80)
      return 0;
  return length;
}

std::optional<InputProblem> check_size(const std::string &file, std::size_t bytes)
{
  if (bytes <= max_input_bytes)
    return {};
  return InputProblem{file, 0, 0, "the file is too large for an input file", fmt::format("{} bytes", bytes),
                      fmt::format("at most {} bytes", max_input_bytes), "", ""};
}

std::optional<InputProblem> scan_text(const std::string &file, const std::string &content)
{
  Scan scan{file, content};
  if (auto problem = check_size(file, content.size()))
    return problem;
  bool comment = false;
  for (std::size_t i = 0; i < content.size();)
  {
    const char c = content[i];
    if (c == '#' && (i == 0 || content[i - 1] == '\n' || content[i - 1] == ' '))
      comment = true;
    if (!comment)
      count_depth(scan, c);
    if (auto problem = check_character(scan, i))
      return problem;
    if (c == '\n')
    {
      next_line(scan);
      comment = false;
    }
    else
      ++scan.column;
    i += utf8_length(content, i);
  }
  return {};
}
} // namespace stifle
