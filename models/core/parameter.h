// models/core/parameter.h - one declaration per parameter: key, value, check, source and manual line
//   The YAML reader, the echo of used values, the manual and the commented template are visitors of the same
//   declaration (Scenario::visit in models/core/scenario.h). Nothing else knows the list of keys.
#pragma once
#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace stifle
{
/// Where a default comes from; the label travels into every output.
enum class Label { read, abstract, second_hand, memory, derived, assumption, common_practice };
std::string to_string(Label label); ///< "read", "second-hand", "common practice", ...

struct Source
{
  Label       label = Label::assumption;
  std::string text; ///< published source, or "common practice, no source", or why this assumption
  bool        computed = false; ///< the value was worked out from other keys: this is its source, whatever the default
};

struct Range
{
  double      low, high;
  std::string unit;      ///< "mm", "N", "" for a pure number
  std::string note = ""; ///< "in this version": a value outside is promised, not wrong
  bool        null_computes = false; ///< of a double: null is read as NaN, which read_scenario works out from other keys
};
/// For a list of numbers (one value counts as a list of one).
struct RangeList
{
  double      low, high;
  std::string unit;
  std::size_t least = 1, most = 60;
  bool        distinct = true; ///< the same number twice is refused
};
struct OneOf
{
  std::vector<std::string> choices;
  bool distinct = true; ///< of a list: the same word twice is refused
};
struct AnyText
{
};
struct ExistingFile ///< null or a file that is there; relative to the folder of the scenario
{
};
struct OnlyNull ///< promised for a later version; today only null
{
};
struct KeysWithValues ///< a mapping: path of a key to the list of its values
{
};
using Check = std::variant<AnyText, Range, RangeList, OneOf, ExistingFile, OnlyNull, KeysWithValues>;

struct VariedKey
{
  std::string              path;
  std::vector<std::string> values; ///< as YAML on one line: 30, [15, 6], "a name"
};
using VariedKeys = std::vector<VariedKey>; ///< in the order of the file

/// The value behind a key. Vectors take one value or a list; optionals take null.
using Value = std::variant<double *, int *, bool *, std::string *, std::optional<double> *, std::optional<std::string> *,
                           std::vector<double> *, std::vector<std::string> *, VariedKeys *>;

class ParameterVisitor
{
public:
  virtual ~ParameterVisitor() = default;
  /// A mapping of keys. `visit` declares what is inside.
  virtual void section(const std::string &key, const std::string &sentence,
                       const std::function<void(ParameterVisitor &)> &visit) = 0;
  /// One key. `sentence` is its manual line and ends with a full stop.
  virtual void value(const std::string &key, Value value, const Check &check, const Source &source,
                     const std::string &sentence) = 0;
};
} // namespace stifle
