#include "models/core/apply_radiograph.h"
#include "models/core/parameter_list.h"
#include "models/parts/radiograph.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
using Measure = std::optional<double>;

class Film
{
public:
  Film(YamlReader &reader, Scenario &scenario, const std::set<std::string> &failed, const RadiographMeasures &measures)
      : reader_(reader), scenario_(scenario), failed_(failed), measures_(measures), keys_(declared_keys(scenario)),
        at_(*reader.root().find("radiograph")->find("landmarks"))
  {
  }
  void apply()
  {
    const RadiographMeasures &m = measures_;
    set("tibia.plateau_angle_deg", degrees(m.plateau_angle_rad), "plateau_cranial");
    set("tibia.length_mm", m.tibia_length_mm, "talus_centre");
    scenario_.tibia.length_from_mass = false;
    set("tibia.tuberosity_cranial_mm", m.tuberosity.x(), "tuberosity");
    set("tibia.tuberosity_proximal_mm", m.tuberosity.z(), "tuberosity");
    set("joint.tendon_length_mm", m.tendon_length_mm, "patella_distal");
    set("joint.tendon_angle_deg", degrees(m.tendon_angle_rad), "patella_distal");
    set("joint.tendon_angle_stifle_deg", degrees(m.stifle_angle_rad), "stifle_angle_deg");
    if (!m.saw)
      return;
    set("tibia.tuberosity_width_mm", m.saw->tuberosity_width_mm, "saw_rim");
    set("levelling.saw_radius_mm", m.saw->radius_mm, "saw_rim");
    set("levelling.centre_offset_mm", std::nullopt, "saw_centre");
    set("levelling.centre_height_mm", m.saw->centre_height_mm, "saw_centre");
  }

private:
  void set(const std::string &path, Measure value, const std::string &origin);
  void conflict(const DeclaredKey &key, const YamlNode &node, Measure value, const std::string &origin);
  const YamlNode *written(const DeclaredKey &key) const
  {
    const YamlNode *section = reader_.root().find(key.section);
    return section == nullptr ? nullptr : section->find(key.key);
  }
  /// "film.yaml:9 (points.tuberosity)".
  std::string place(const std::string &origin) const
  {
    return fmt::format("{}:{} ({}{})", *scenario_.radiograph.landmarks, measures_.lines.at(origin),
                       origin == "stifle_angle_deg" ? "" : "points.", origin);
  }

  YamlReader &reader_;
  Scenario &scenario_;
  const std::set<std::string> &failed_;
  const RadiographMeasures &measures_;
  std::vector<DeclaredKey> keys_;
  const YamlNode &at_;
};

Measure number_at(const Value &value)
{
  if (double *const *target = std::get_if<double *>(&value))
    return **target;
  return *std::get<std::optional<double> *>(value);
}

/// 135 by hand is the 135 of the film, whatever its last digit.
bool same(const Measure &a, const Measure &b)
{
  return a && b ? std::abs(*a - *b) <= 1e-9 * std::max(1.0, std::abs(*b)) : a == b;
}

void Film::conflict(const DeclaredKey &key, const YamlNode &node, Measure value, const std::string &origin)
{
  const std::string gives = value ? "gives it" : "gives the centre of the arc";
  reader_.problem(node, fmt::format("{} must be absent: {} {}", key.path(), place(origin), gives),
                  value ? fmt::format("{} here, {:.6g} on the film", value_text(key.value), *value) : value_text(key.value),
                  "no such key, or radiograph.landmarks: null");
}

void Film::set(const std::string &path, Measure value, const std::string &origin)
{
  const auto key = std::find_if(keys_.begin(), keys_.end(), [&](const DeclaredKey &k) { return k.path() == path; });
  const Range &range = std::get<Range>(key->check);
  if (value && !(*value >= range.low && *value <= range.high))
    return reader_.problem(at_, fmt::format("radiograph.landmarks gives {} out of range: {}", path, place(origin)),
                           fmt::format("{:.6g}", *value), allowed_text(*key));
  const YamlNode *node = written(*key);
  const bool given = node && node->kind != YamlNode::Kind::null; // null leaves it to the film
  if (given && failed_.count(path) == 0 && !same(number_at(key->value), value))
    conflict(*key, *node, value, origin); // the film's value goes on: no second problem out of the same mistake
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
    Film(reader, scenario, failed, measures).apply();
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
