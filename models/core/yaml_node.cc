#include "models/core/yaml_node.h"
#include "models/core/files.h"
#include "models/core/nearest.h"
#include "models/core/read_yaml_tree.h"
#include <charconv>
#include <fmt/format.h>
#include <algorithm>
#include <map>
#include <regex>

namespace stifle
{
namespace
{
std::string sentence_key(const std::string &path) { return path.empty() ? "the file" : path; }

std::string with_default(const std::string &allowed, const std::string &default_text)
{
  return default_text.empty() ? allowed : allowed + ", default " + default_text;
}

std::string kind_name(const YamlNode &node)
{
  switch (node.kind)
  {
    case YamlNode::Kind::null: return "nothing";
    case YamlNode::Kind::list: return "a list";
    case YamlNode::Kind::mapping: return "a mapping of keys";
    default: return "a single value";
  }
}

bool is_decimal(const std::string &text)
{
  static const std::regex decimal(R"([-+]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][-+]?[0-9]+)?)");
  return text.size() < 60 && std::regex_match(text, decimal);
}

bool looks_octal(const std::string &text)
{
  const std::size_t start = text[0] == '-' || text[0] == '+';
  return text.size() > start + 1 && text[start] == '0' && std::isdigit(static_cast<unsigned char>(text[start + 1]));
}

bool has_control(const std::string &text)
{
  for (const char c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f)
      return true;
  return false;
}
} // namespace

const YamlNode *YamlNode::find(const std::string &key) const
{
  for (std::size_t i = 0; i < keys.size(); ++i)
    if (keys[i].text == key)
      return &items[i];
  return nullptr;
}

std::string YamlNode::excerpt() const
{
  if (kind == Kind::scalar)
    return quoted ? "\"" + text + "\"" : text;
  if (kind == Kind::null)
    return "nothing";
  if (items.empty())
    return kind == Kind::list ? "[]" : "{}";
  if (kind == Kind::list && items[0].kind == Kind::scalar)
    return "[" + items[0].text + (items.size() > 1 ? ", ...]" : "]");
  return kind_name(*this);
}

YamlReader::YamlReader(const std::string &file, const std::string &section)
  : file_(file), section_(section), root_(read_yaml_tree(file))
{}

void YamlReader::problem(const YamlNode &at, const std::string &message, const std::string &found,
                         const std::string &allowed, const std::string &nearest)
{
  problems_.push_back({file_, at.line, at.column, message, shown(found), allowed, nearest, section_});
}

void YamlReader::problem(const std::string &section, const YamlNode &at, const std::string &message, const std::string &found,
                         const std::string &allowed, const std::string &nearest)
{
  set_section(section);
  problem(at, message, found, allowed, nearest);
}

const YamlNode &YamlReader::place(const std::string &section, const std::string &key, std::size_t item) const
{
  const YamlNode *parent = section.empty() ? &root_ : root_.find(section);
  const YamlNode *node   = parent == nullptr ? nullptr : parent->find(key);
  if (node == nullptr)
    return parent == nullptr ? root_ : *parent;
  return item < node->items.size() ? node->items[item] : *node;
}

bool YamlReader::check_mapping(const YamlNode &node, const std::string &path, const std::vector<std::string> &known,
                               const std::vector<std::string> &required)
{
  if (node.kind != YamlNode::Kind::mapping)
  {
    problem(node, sentence_key(path) + " must be a mapping of keys, not " + kind_name(node), node.excerpt(), join(known));
    return false;
  }
  std::map<std::string, int> first_line;
  for (std::size_t i = 0; i < node.keys.size(); ++i)
  {
    const YamlNode   &key   = node.keys[i];
    const std::string where = path.empty() ? "" : " in " + path;
    if (key.kind != YamlNode::Kind::scalar)
      problem(key, "a key must be a single word, not " + kind_name(key) + where, key.excerpt(), join(known));
    else if (std::find(known.begin(), known.end(), key.text) == known.end())
      problem(key, "unknown key '" + shown(key.text, 40) + "'" + where, key.text + ": " + node.items[i].excerpt(), join(known),
              nearest_word(key.text, known));
    else if (!first_line.emplace(key.text, key.line).second)
      problem(key, fmt::format("repeated key '{}'{}", key.text, where), key.text + ": " + node.items[i].excerpt(),
              fmt::format("once; it stands first in line {}", first_line[key.text]));
  }
  for (const std::string &key : required)
    if (node.find(key) == nullptr)
      problem(node, "missing key '" + key + "'" + (path.empty() ? "" : " in " + path), "", "required: " + join(required));
  return true;
}

bool YamlReader::check_list(const YamlNode &node, const std::string &path, std::size_t least, std::size_t most)
{
  const std::string allowed =
      least == most ? fmt::format("a list of {} entries", least) : fmt::format("a list of {} to {} entries", least, most);
  if (node.kind != YamlNode::Kind::list)
  {
    problem(node, sentence_key(path) + " must be a list, not " + kind_name(node), node.excerpt(), allowed);
    return false;
  }
  if (node.items.size() >= least && node.items.size() <= most)
    return true;
  problem(node, node.items.empty() ? path + " is an empty list" : path + " has the wrong number of entries",
          fmt::format("{} entries", node.items.size()), allowed);
  return false;
}

std::optional<double> YamlReader::plain_number(const YamlNode &node, const std::string &path, const std::string &allowed)
{
  const std::string is_not = path + " must be a number, not ";
  if (node.kind != YamlNode::Kind::scalar)
    problem(node, is_not + kind_name(node), node.excerpt(), allowed);
  else if (node.quoted)
    problem(node, is_not + "quoted text", node.excerpt(), allowed);
  else if (!is_decimal(node.text))
    problem(node, path + " must be a finite decimal number", node.excerpt(), allowed);
  else if (looks_octal(node.text))
    problem(node, path + " starts with 0 and could be read as octal: write it without the leading 0", node.excerpt(), allowed);
  else
  {
    double      value = 0;
    const char *start = node.text.data() + (node.text[0] == '+');
    if (std::from_chars(start, node.text.data() + node.text.size(), value).ec == std::errc())
      return value;
    problem(node, path + " is too large or too small for a number", node.excerpt(), allowed);
  }
  return {};
}

std::optional<double> YamlReader::number(const YamlNode &node, const std::string &path, const Range &range,
                                         const std::string &default_text)
{
  const std::string allowed = with_default(to_string(range), default_text);
  const auto        value   = plain_number(node, path, allowed);
  if (!value || (*value >= range.low && *value <= range.high))
    return value;
  problem(node, path + " is out of range", node.excerpt(), allowed);
  return {};
}

std::optional<int> YamlReader::whole_number(const YamlNode &node, const std::string &path, const Range &range,
                                            const std::string &default_text)
{
  const std::string allowed = with_default("whole number " + to_string(range), default_text);
  const auto        value   = plain_number(node, path, allowed);
  if (!value)
    return {};
  if (node.text.find_first_of(".eE") != std::string::npos)
    problem(node, path + " must be a whole number", node.excerpt(), allowed);
  else if (*value < range.low || *value > range.high)
    problem(node, path + " is out of range", node.excerpt(), allowed);
  else
    return int(*value);
  return {};
}

std::optional<bool> YamlReader::yes_or_no(const YamlNode &node, const std::string &path, const std::string &default_text)
{
  if (node.kind == YamlNode::Kind::scalar && !node.quoted && (node.text == "true" || node.text == "false"))
    return node.text == "true";
  problem(node, path + " must be true or false", node.excerpt(), with_default("true, false", default_text));
  return {};
}

std::optional<std::string> YamlReader::word(const YamlNode &node, const std::string &path,
                                            const std::vector<std::string> &choices, const std::string &default_text)
{
  const std::string any     = "text of 1 to 400 bytes without control characters";
  const std::string allowed = with_default(choices.empty() ? any : join(choices), default_text);
  if (node.kind != YamlNode::Kind::scalar)
    problem(node, path + " must be " + (choices.empty() ? "text" : "one word") + ", not " + kind_name(node), node.excerpt(),
            allowed);
  else if (choices.empty() && (node.text.empty() || node.text.size() > 400 || has_control(node.text)))
    problem(node, path + " is not usable text", node.excerpt(), allowed);
  else if (!choices.empty() && std::find(choices.begin(), choices.end(), node.text) == choices.end())
    problem(node, path + " is not one of the allowed words", node.excerpt(), allowed, nearest_word(node.text, choices));
  else
    return node.text;
  return {};
}

void YamlReader::finish() const
{
  if (!problems_.empty())
    throw InputError(problems_);
}

std::string to_string_exact(double number)
{
  std::string text = fmt::format("{}", number);
  if (text.size() > 2 && text.compare(text.size() - 2, 2, ".0") == 0)
    text.resize(text.size() - 2);
  return text;
}

std::string to_string(const Range &range)
{
  const std::string unit = (range.unit.empty() ? "" : " (" + range.unit + ")") + (range.note.empty() ? "" : " (" + range.note + ")");
  if (range.low == range.high)
    return to_string_exact(range.low) + unit;
  return to_string_exact(range.low) + " to " + to_string_exact(range.high) + unit;
}

std::vector<std::string> label_words()
{
  std::vector<std::string> words;
  for (const Label label : {Label::read, Label::abstract, Label::second_hand, Label::memory, Label::derived, Label::assumption,
                            Label::common_practice})
    words.push_back(to_string(label));
  return words;
}
} // namespace stifle
