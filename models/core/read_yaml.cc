// models/core/read_yaml.cc - scenario file to Scenario, driven by the declaration in scenario.cc
#include "models/core/apply_radiograph.h"
#include "models/core/check_scenario.h"
#include "models/core/check_study.h"
#include "models/core/nearest.h"
#include "models/core/parameter_list.h"
#include "models/core/study_variants.h"
#include "models/core/yaml_node.h"
#include "models/parts/check_materials.h"
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <limits>
#include <set>

namespace stifle
{
namespace
{
namespace fs = std::filesystem;

/// One key at its node: reads by the type of the value, judges by the check.
class KeyReader
{
public:
  KeyReader(YamlReader &reader, const DeclaredKey &declared, const std::string &default_text)
    : reader_(reader), declared_(declared), default_(default_text), path_(declared.path())
  {}

  /// False when a value could not be read; a repeated entry is a problem too, but its value is known.
  bool read(const YamlNode &node)
  {
    const std::size_t before = reader_.problems().size();
    std::visit([&](auto *target) { into(node, *target); }, declared_.value);
    return reader_.problems().size() == before + repeats_;
  }

private:
  void into(const YamlNode &node, double &target)
  {
    if (node.kind == YamlNode::Kind::null && range().null_computes)
      target = std::numeric_limits<double>::quiet_NaN();
    else if (const auto value = reader_.number(node, path_, range(), default_))
      target = *value;
  }
  void into(const YamlNode &node, int &target)
  {
    const Range limits = range();
    // A value of a later version is a wish, not a typing error: say so.
    const bool digits =
        node.kind == YamlNode::Kind::scalar && !node.quoted && node.text.find_first_not_of("0123456789") == std::string::npos;
    if (!limits.note.empty() && digits && node.text[0] != '0' && node.text != to_string_exact(limits.low))
      reader_.problem(node, path_ + " " + shown(node.text, 20) + " is not available in this version", node.excerpt(), allowed());
    else if (const auto value = reader_.whole_number(node, path_, limits, default_))
      target = *value;
  }
  void into(const YamlNode &node, bool &target)
  {
    if (const auto value = reader_.yes_or_no(node, path_, default_))
      target = *value;
  }
  void into(const YamlNode &node, std::string &target)
  {
    if (const auto value = word(node, path_))
      target = *value;
  }
  void into(const YamlNode &node, std::optional<double> &target)
  {
    if (node.kind == YamlNode::Kind::null)
      target.reset();
    else if (const auto value = reader_.number(node, path_, range(), default_))
      target = *value;
  }
  void into(const YamlNode &node, std::optional<std::string> &target)
  {
    if (node.kind == YamlNode::Kind::null)
      target.reset();
    else if (std::holds_alternative<OnlyNull>(declared_.check))
      reader_.problem(node, path_ + " is not available in this version", node.excerpt(), allowed());
    else if (const auto value = reader_.word(node, path_, {}, default_))
      target = existing_file(node, *value);
  }
  void into(const YamlNode &node, std::vector<double> &target)
  {
    const RangeList limits = std::get<RangeList>(declared_.check);
    const auto      read   = [&](const YamlNode &item, const std::string &path) {
      return reader_.number(item, path, Range{limits.low, limits.high, limits.unit}, default_);
    };
    list(node, target, limits.least, limits.most, limits.distinct, read);
  }
  void into(const YamlNode &node, VariedKeys &target) { read_varied_keys(reader_, node, target); }
  void into(const YamlNode &node, std::vector<std::string> &target)
  {
    const OneOf *one_of = std::get_if<OneOf>(&declared_.check);
    list(node, target, 1, 60, one_of == nullptr || one_of->distinct, [&](const YamlNode &item, const std::string &path) { return word(item, path); });
  }

  /// One value counts as a list of one.
  template <class T, class Read>
  void list(const YamlNode &node, std::vector<T> &target, std::size_t least, std::size_t most, bool distinct, const Read &read)
  {
    const bool one = node.kind == YamlNode::Kind::scalar && least <= 1;
    if (!one && !reader_.check_list(node, path_, least, most))
      return;
    std::vector<T> values;
    for (std::size_t i = 0; i < (one ? 1 : node.items.size()); ++i)
    {
      const YamlNode &item  = one ? node : node.items[i];
      const auto      value = read(item, one ? path_ : fmt::format("{}[{}]", path_, i + 1));
      if (value && distinct && std::find(values.begin(), values.end(), *value) != values.end())
      {
        reader_.problem(item, path_ + " holds the same value twice", item.excerpt(), "each value once");
        ++repeats_;
      }
      if (value)
        values.push_back(*value);
    }
    if (!values.empty() || (least == 0 && !one && node.items.empty())) // an empty list is a value where it is allowed
      target = values;
  }

  std::optional<std::string> word(const YamlNode &node, const std::string &path)
  {
    const OneOf *one_of = std::get_if<OneOf>(&declared_.check);
    if (one_of == nullptr)
      return reader_.word(node, path, {}, default_);
    return reader_.word(node, path, one_of->choices, default_);
  }

  std::optional<std::string> existing_file(const YamlNode &node, const std::string &name)
  {
    const fs::path  path = fs::absolute(fs::path(reader_.file())).parent_path() / name;
    std::error_code error;
    if (fs::is_regular_file(path, error))
      return path.lexically_normal().string();
    const bool folder = fs::is_directory(path, error);
    reader_.problem(node, path_ + (folder ? ": this is a directory, not a file" : ": the file does not exist"), name,
                    "an existing file, relative to the folder of the scenario");
    return {};
  }

  Range       range() const { return std::get<Range>(declared_.check); }
  std::string allowed() const { return allowed_text(declared_) + ", default " + default_; }

  YamlReader        &reader_;
  const DeclaredKey &declared_;
  std::string        default_, path_;
  std::size_t        repeats_ = 0;
};

/// Names of the keys inside `section`; at the top the sections and the keys without one.
std::vector<std::string> known_keys(const std::vector<DeclaredKey> &keys, const std::string &section)
{
  std::vector<std::string> names;
  for (const DeclaredKey &declared : keys)
  {
    const std::string &name = section.empty() && !declared.section.empty() ? declared.section : declared.key;
    if ((section.empty() || declared.section == section) && (names.empty() || names.back() != name))
      names.push_back(name);
  }
  return names;
}

/// Values that a null leaves to the other keys.
void compute_nulls(Scenario &scenario)
{
  TibiaParameters &tibia = scenario.tibia;
  tibia.length_from_mass = std::isnan(tibia.length_mm);
  if (tibia.length_from_mass)
    tibia.length_mm = scaled_tibia_length_mm(scenario.dog.mass_kg);
}
} // namespace

Scenario read_scenario(const std::string &file)
{
  YamlReader reader(file);
  return read_scenario(reader);
}

Scenario read_scenario(YamlReader &reader)
{
  Scenario   scenario, defaults;
  const auto keys = declared_keys(scenario), default_keys = declared_keys(defaults);
  if (!reader.check_mapping(reader.root(), "", known_keys(keys, "")))
    reader.finish();

  std::set<std::string> checked, usable, failed;
  for (std::size_t i = 0; i < keys.size(); ++i)
  {
    const DeclaredKey &declared = keys[i];
    const YamlNode    *parent   = declared.section.empty() ? &reader.root() : reader.root().find(declared.section);
    reader.set_section(declared.section.empty() ? declared.key : declared.section);
    // A section whose keys are all commented out is empty, not wrong.
    if (parent == nullptr || parent->kind == YamlNode::Kind::null)
      continue;
    if (!declared.section.empty() && checked.insert(declared.section).second &&
        reader.check_mapping(*parent, declared.section, known_keys(keys, declared.section)))
      usable.insert(declared.section);
    const YamlNode *node = parent->find(declared.key);
    if (node != nullptr && (declared.section.empty() || usable.count(declared.section) > 0) &&
        !KeyReader(reader, declared, value_text(default_keys[i].value)).read(*node))
      failed.insert(declared.path());
  }
  compute_nulls(scenario);
  apply_radiograph(reader, scenario, failed);
  scenario.joint.tendon_plateau_deg = scenario.tibia.plateau_angle_deg;
  check_scenario(reader, scenario, failed);
  check_study(reader, scenario, failed);
  check_materials(reader, scenario, failed);
  auto &problems = reader.problems();
  std::stable_sort(problems.begin(), problems.end(), [](const InputProblem &a, const InputProblem &b) {
    return a.file == b.file && std::pair(a.line, a.column) < std::pair(b.line, b.column);
  });
  reader.finish();
  return scenario;
}
} // namespace stifle
