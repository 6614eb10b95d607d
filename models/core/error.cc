#include "models/core/error.h"
#include "models/core/text_scan.h"
#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace stifle
{
namespace
{
constexpr std::size_t max_problems_shown = 200;

/// Length of the sequence at `i` that may go to a terminal as it is, 0 when it has to be escaped.
std::size_t printable_length(const std::string &text, std::size_t i)
{
  const auto        byte   = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
  const std::size_t length = utf8_length(text, i);
  if (length == 1)
    return byte(i) >= 0x20 && byte(i) != 0x7f;
  const bool is_c1_control  = length == 2 && byte(i) == 0xc2 && byte(i + 1) < 0xa0;
  const bool turns_the_text = length == 3 && byte(i) == 0xe2 && byte(i + 1) == 0x80 && byte(i + 2) >= 0xa8 && byte(i + 2) <= 0xae;
  return is_c1_control || turns_the_text ? 0 : length;
}

std::string block(const InputProblem &problem)
{
  std::string text = shown(problem.file, 400);
  if (problem.line > 0)
    text += fmt::format(":{}:{}", problem.line, problem.column);
  text += ": " + shown(problem.message, 400) + "\n";
  if (!problem.found.empty())
    text += "  found    " + shown(problem.found, 300) + "\n";
  if (!problem.allowed.empty())
    text += "  allowed  " + shown(problem.allowed, 1500) + "\n";
  if (!problem.nearest.empty())
    text += "  nearest  " + shown(problem.nearest) + "\n";
  return text;
}
} // namespace

std::string shown(const std::string &text, std::size_t max_bytes)
{
  std::string safe;
  for (std::size_t i = 0; i < text.size();)
  {
    if (safe.size() >= max_bytes)
      return safe + fmt::format("... ({} bytes)", text.size());
    const std::size_t length = printable_length(text, i);
    if (length > 0)
      safe += text.substr(i, length);
    else if (text[i] == '\n')
      safe += "\\n";
    else if (text[i] == '\t')
      safe += "\\t";
    else
      safe += fmt::format("\\x{:02x}", static_cast<unsigned char>(text[i]));
    i += std::max<std::size_t>(length, 1);
  }
  return safe;
}

std::string format_problems(const std::vector<InputProblem> &problems)
{
  std::string           text;
  std::set<std::string> files, sections;
  for (std::size_t i = 0; i < problems.size(); ++i)
  {
    if (i < max_problems_shown)
      text += block(problems[i]);
    files.insert(problems[i].file);
    if (!problems[i].section.empty())
      sections.insert(problems[i].section);
  }
  if (problems.size() > max_problems_shown)
    text += fmt::format("... and {} more\n", problems.size() - max_problems_shown);
  text += fmt::format("{} error{} in {}; nothing was run.", problems.size(), problems.size() == 1 ? "" : "s",
                      files.size() == 1 ? shown(*files.begin(), 400) : fmt::format("{} files", files.size()));
  if (!sections.empty())
    text += " Manual: stifle keys" + (sections.size() == 1 ? " " + *sections.begin() : "");
  return text;
}

InputError::InputError(std::vector<InputProblem> problems)
  : std::runtime_error(format_problems(problems)), problems_(std::move(problems))
{}
} // namespace stifle
