// models/core/parameter_list.h - the declaration of Scenario::visit as a flat list, and its values as text
#pragma once
#include "models/core/scenario.h"

namespace stifle
{
struct DeclaredKey
{
  std::string section, section_sentence; ///< "" for a key at the top
  std::string key;
  Value       value; ///< points into the scenario that was visited
  Check       check;
  Source      source;
  std::string sentence;
  std::string path() const { return section.empty() ? key : section + "." + key; }
};
/// Every key in the order of the declaration. `scenario` must outlive the list.
std::vector<DeclaredKey> declared_keys(Scenario &scenario);

/// In double quotes, with what must be escaped.
std::string yaml_quoted(const std::string &text);
/// The value as YAML that reads back to the same value: 30, "large dog", [15, 10], null.
std::string value_text(const Value &value);
/// "4 to 20 (mm)", "right, left", "one or more of none, levelling".
std::string allowed_text(const DeclaredKey &declared);
} // namespace stifle
