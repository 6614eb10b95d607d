#include "models/core/parameter_list.h"
#include "models/core/nearest.h"
#include "models/core/yaml_node.h"
#include <fmt/format.h>
#include <regex>
#include <stdexcept>

namespace stifle
{
namespace
{
class Lister : public ParameterVisitor
{
public:
  std::vector<DeclaredKey> keys;

  void section(const std::string &key, const std::string &sentence,
               const std::function<void(ParameterVisitor &)> &visit) override
  {
    if (!section_.empty())
      throw std::logic_error("a section inside a section is not supported: " + key);
    section_          = key;
    section_sentence_ = sentence;
    visit(*this);
    section_.clear();
    section_sentence_.clear();
  }
  void value(const std::string &key, Value value, const Check &check, const Source &source,
             const std::string &sentence) override
  {
    keys.push_back({section_, section_sentence_, key, value, check, source, sentence});
  }

private:
  std::string section_, section_sentence_;
};

std::string text_of(const std::string &text)
{
  static const std::regex plain("[a-z][a-z0-9_]*");
  static const std::regex special("null|true|false|yes|no|on|off|y|n");
  if (std::regex_match(text, plain) && !std::regex_match(text, special))
    return text;
  return yaml_quoted(text);
}
std::string text_of(double number) { return to_string_exact(number); }
std::string text_of(int number) { return fmt::format("{}", number); }
std::string text_of(bool value) { return value ? "true" : "false"; }
template <class T> std::string text_of(const std::optional<T> &value) { return value ? text_of(*value) : "null"; }
template <class T> std::string text_of(const std::vector<T> &values)
{
  std::string list;
  for (const T &value : values)
    list += (list.empty() ? "" : ", ") + text_of(value);
  return "[" + list + "]";
}

std::string text_of(const VariedKeys &keys)
{
  std::string text;
  for (const VariedKey &key : keys)
    text += fmt::format("{}{}: [{}]", text.empty() ? "" : ", ", key.path, fmt::join(key.values, ", "));
  return "{" + text + "}";
}

bool is_list(const Value &value)
{
  return std::holds_alternative<std::vector<double> *>(value) || std::holds_alternative<std::vector<std::string> *>(value);
}
bool may_be_null(const Value &value)
{
  return std::holds_alternative<std::optional<double> *>(value) || std::holds_alternative<std::optional<std::string> *>(value);
}

std::string check_text(const AnyText &, const Value &) { return "text"; }
std::string check_text(const ExistingFile &, const Value &) { return "a file"; }
std::string check_text(const OnlyNull &, const Value &) { return "null (in this version)"; }
std::string check_text(const KeysWithValues &, const Value &) { return "a mapping: path of a key to the list of its values"; }
std::string check_text(const Range &range, const Value &value)
{
  const std::string whole = std::holds_alternative<int *>(value) ? "whole number " : "";
  return whole + to_string(range) + (range.null_computes ? " or null" : "");
}
std::string check_text(const RangeList &range, const Value &)
{
  const std::string each = to_string(Range{range.low, range.high, range.unit});
  const std::string twice = range.distinct ? ", none twice" : "";
  return range.least == range.most ? fmt::format("a list of {} numbers, each {}{}", range.least, each, twice)
                                   : fmt::format("{} to {} numbers, each {}{}", range.least, range.most, each, twice);
}
std::string check_text(const OneOf &one_of, const Value &value)
{
  return (is_list(value) ? "one or more of " : "") + join(one_of.choices);
}
} // namespace

std::string yaml_quoted(const std::string &text)
{
  std::string quoted = "\"";
  for (const char c : text)
  {
    if (c == '"' || c == '\\')
      quoted += '\\';
    quoted += c;
  }
  return quoted + "\"";
}

std::vector<DeclaredKey> declared_keys(Scenario &scenario)
{
  Lister lister;
  scenario.visit(lister);
  return lister.keys;
}

std::string value_text(const Value &value)
{
  return std::visit([](const auto *pointer) { return text_of(*pointer); }, value);
}

std::string allowed_text(const DeclaredKey &declared)
{
  if (std::holds_alternative<bool *>(declared.value))
    return "true, false";
  const std::string text = std::visit([&](const auto &check) { return check_text(check, declared.value); }, declared.check);
  return may_be_null(declared.value) && !std::holds_alternative<OnlyNull>(declared.check) ? text + " or null" : text;
}

std::string to_string(Label label)
{
  switch (label)
  {
    case Label::read: return "read";
    case Label::abstract: return "abstract";
    case Label::second_hand: return "second-hand";
    case Label::memory: return "memory";
    case Label::derived: return "derived";
    case Label::common_practice: return "common practice";
    default: return "assumption";
  }
}
} // namespace stifle
