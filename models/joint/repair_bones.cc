#include "models/joint/repair_bones.h"
#include <algorithm>
#include <iterator>

namespace stifle
{
namespace
{
RepairBone repaired_bone(const Scenario &scenario, RepairKind kind, std::optional<double> target_deg = std::nullopt)
{
  RepairBone made{0, to_string(kind), scenario, {}};
  const std::optional<double> target_rad = target_deg ? std::optional(radians(*target_deg)) : std::nullopt;
  made.bone = repaired(scenario, make_anatomy(scenario), kind, target_rad);
  made.target_deg = target_deg.value_or(scenario.tibia.plateau_angle_deg);
  if (kind == RepairKind::wedge)
    made.target_deg = scenario.wedge.wedge_deg ? made.achieved_deg() : scenario.wedge.target_deg;
  return made;
}

std::vector<double> swept_angles(const StudyParameters &study)
{
  std::vector<double> angles;
  const auto &range = study.sweep_plateau_deg;
  if (range.size() == 3 && range[2] > 0)
    for (int i = 0; range[0] + i * range[2] <= range[1] + 1e-9; ++i)
      angles.push_back(range[0] + i * range[2]);
  return angles;
}

void add_repairs(std::vector<RepairBone> &bones, const Scenario &scenario, const std::vector<double> &levelling_targets)
{
  if (has_repair(scenario, RepairKind::levelling))
    for (const double angle : levelling_targets)
      bones.push_back(repaired_bone(scenario, RepairKind::levelling, angle));
  for (const RepairKind kind : {RepairKind::wedge, RepairKind::suture, RepairKind::advancement})
    if (has_repair(scenario, kind))
      bones.push_back(repaired_bone(scenario, kind));
}
} // namespace

std::vector<double> sorted_without_repeats(std::vector<double> numbers)
{
  std::sort(numbers.begin(), numbers.end());
  numbers.erase(std::unique(numbers.begin(), numbers.end(), [](double a, double b) { return std::abs(a - b) < 1e-9; }),
                numbers.end());
  return numbers;
}

RepairBone native_bone(const Scenario &scenario, double plateau_angle_deg)
{
  Scenario native = scenario;
  native.tibia.plateau_angle_deg = plateau_angle_deg;
  return repaired_bone(native, RepairKind::none);
}

std::vector<RepairBone> named_bones(const Scenario &scenario)
{
  std::vector<RepairBone> bones = {native_bone(scenario, scenario.tibia.plateau_angle_deg)};
  add_repairs(bones, scenario, sorted_without_repeats(scenario.levelling.plateau_angles_deg));
  return bones;
}

std::vector<RepairBone> swept_bones(const Scenario &scenario)
{
  const double own = scenario.tibia.plateau_angle_deg;
  const std::vector<double> swept = swept_angles(scenario.study);
  std::vector<double> bare = {own}, cut = scenario.levelling.plateau_angles_deg;
  if (!scenario.joint.femur_surface) // the bones of files are those of one slope
    bare.insert(bare.end(), swept.begin(), swept.end());
  std::copy_if(swept.begin(), swept.end(), std::back_inserter(cut), [&](double angle) { return angle < own - 1e-9; });
  std::vector<RepairBone> bones;
  for (const double angle : sorted_without_repeats(bare))
    bones.push_back(native_bone(scenario, angle));
  add_repairs(bones, scenario, sorted_without_repeats(cut));
  std::stable_sort(bones.begin(), bones.end(),
                   [](const RepairBone &a, const RepairBone &b) { return a.target_deg < b.target_deg - 1e-9; });
  return bones;
}
} // namespace stifle
