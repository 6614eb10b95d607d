#include "models/core/keys_markdown.h"
#include "models/core/parameter_list.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
/// A cell: pipes would end it, and other signs would be read as markup.
std::string cell(const std::string &text)
{
  std::string out;
  for (const char c : text)
    out += (c == '|' || c == '*' || c == '_' || c == '<' || c == '>' || c == '`' || c == '\\' || c == '~' ? "\\" : "") + std::string(1, c == '\n' ? ' ' : c);
  return out;
}

/// As code: nothing in it is markup but a pipe, which would end the cell.
std::string code(const std::string &text)
{
  std::string out;
  for (const char c : text)
    out += (c == '|' ? "\\" : "") + std::string(1, c);
  return "`" + out + "`";
}

std::string unit_of(const Check &check)
{
  if (const auto *range = std::get_if<Range>(&check))
    return range->unit;
  const auto *list = std::get_if<RangeList>(&check);
  return list ? list->unit : "";
}

/// The unit has a column of its own.
std::string allowed_without(std::string allowed, const std::string &unit)
{
  const std::string words = " (" + unit + ")";
  const std::size_t at    = unit.empty() ? std::string::npos : allowed.find(words);
  return at == std::string::npos ? allowed : allowed.erase(at, words.size());
}

std::string row(const DeclaredKey &key)
{
  const std::string unit = unit_of(key.check);
  return fmt::format("| {} | {} | {} | {} | {} | {} | {} |\n", code(key.path()), code(value_text(key.value)),
                     cell(allowed_without(allowed_text(key), unit)), cell(unit), cell(key.sentence), cell(to_string(key.source.label)),
                     cell(key.source.text));
}
} // namespace

std::string keys_markdown(const std::string &path)
{
  describe_keys(path); // throws when there is no such key
  Scenario    defaults;
  std::string text = "# Keys of a scenario\n\nMade by `stifle keys --markdown`; do not edit. Every key is optional: one that is left out keeps its "
                     "default. Label and source\nsay where the default comes from; no label makes it right for one dog.\n",
              section = "none yet";
  for (const DeclaredKey &key : declared_keys(defaults))
  {
    if (!path.empty() && path != key.section && path != key.path())
      continue;
    if (key.section != section)
      text += fmt::format("\n## {}\n{}\n| key | default | allowed | unit | meaning | label | source |\n|---|---|---|---|---|---|---|\n",
                          key.section.empty() ? "At the top" : key.section, key.section_sentence.empty() ? "" : cell(key.section_sentence) + "\n");
    section = key.section;
    text += row(key);
  }
  return text;
}
} // namespace stifle
