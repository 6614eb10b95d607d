#include "models/core/apply_radiograph.h"
#include "models/core/parameter_list.h"
#include "models/parts/radiograph.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
class Film
{
public:
  Film(YamlReader &reader, Scenario &scenario, const std::set<std::string> &failed)
      : reader_(reader), scenario_(scenario), failed_(failed), keys_(declared_keys(scenario)),
        at_(*reader.root().find("radiograph")->find("landmarks"))
  {
  }
  void apply(const RadiographMeasures &m)
  {
    set("tibia.plateau_angle_deg", degrees(m.plateau_angle_rad));
    set("tibia.length_mm", m.tibia_length_mm);
    scenario_.tibia.length_from_mass = false;
    if (!m.saw)
      return;
    set("levelling.saw_radius_mm", m.saw->radius_mm);
    set("levelling.centre_offset_mm", m.saw->centre_offset_mm);
    set("levelling.centre_height_mm", m.saw->centre_height_mm);
    set("tibia.tuberosity_width_mm", std::nullopt);
  }

private:
  void set(const std::string &path, std::optional<double> value);
  const YamlNode *written(const DeclaredKey &key) const
  {
    const YamlNode *section = reader_.root().find(key.section);
    return section == nullptr ? nullptr : section->find(key.key);
  }

  YamlReader &reader_;
  Scenario &scenario_;
  const std::set<std::string> &failed_;
  std::vector<DeclaredKey> keys_;
  const YamlNode &at_;
};

std::string text_of(const std::optional<double> &value) { return value ? to_string_exact(*value) : "null"; }

void Film::set(const std::string &path, std::optional<double> value)
{
  const auto key = std::find_if(keys_.begin(), keys_.end(), [&](const DeclaredKey &k) { return k.path() == path; });
  const Range &range = std::get<Range>(key->check);
  if (value && !(*value >= range.low && *value <= range.high))
    return reader_.problem(at_, fmt::format("radiograph.landmarks gives {} out of range", path), text_of(value),
                           allowed_text(*key));
  const YamlNode *node = written(*key);
  const bool given = node && node->kind != YamlNode::Kind::null; // null leaves it to the film
  if (given && failed_.count(path) == 0 && value_text(key->value) != text_of(value))
    return reader_.problem(*node, fmt::format("{} must be absent: radiograph.landmarks gives it ({})", path, text_of(value)),
                           value_text(key->value), "no such key, or radiograph.landmarks: null");
  if (double **target = std::get_if<double *>(&key->value))
    **target = *value;
  else
    *std::get<std::optional<double> *>(key->value) = value;
  scenario_.radiograph.replaced.push_back(path);
}
} // namespace

void apply_radiograph(YamlReader &reader, Scenario &scenario, const std::set<std::string> &failed)
{
  if (!scenario.radiograph.landmarks || failed.count("radiograph.landmarks") > 0)
    return;
  try
  {
    const RadiographMeasures measures = read_radiograph(*scenario.radiograph.landmarks);
    reader.set_section("radiograph");
    Film(reader, scenario, failed).apply(measures);
  }
  catch (const InputError &error)
  {
    for (InputProblem problem : error.problems())
    {
      problem.section = "radiograph";
      reader.problems().push_back(problem);
    }
  }
}
} // namespace stifle
