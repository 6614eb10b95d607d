// models/joint/repair_bones.h - the bones a scenario asks for: unoperated, and one for each repair of repair.kind
//   native   a dog with another plateau angle and the same soft parts (make_anatomy); not with a user's surfaces, which have one
//   wedge    target: wedge.target_deg, or the angle that a given wedge.wedge_deg achieves
//   others   suture and advancement leave the plateau where it is: target = tibia.plateau_angle_deg
//   errors   Error when a repair cannot be done on this bone
#pragma once
#include "models/parts/repair.h"

namespace stifle
{
struct RepairBone
{
  double target_deg = 0; ///< plateau angle aimed at
  std::string repair;    ///< word of repair.kind
  Scenario scenario;     ///< with the native angle of this bone
  OperatedAnatomy bone;
  double achieved_deg() const { return degrees(bone.levelling.achieved_angle_rad); }
};

/// No repair, native plateau angle as given.
RepairBone native_bone(const Scenario &scenario, double plateau_angle_deg);
/// The dog of the scenario without repair, then its repairs in the order levelling (targets rising), wedge, suture, advancement.
std::vector<RepairBone> named_bones(const Scenario &scenario);
/// Those and the sweep of study.sweep_plateau_deg (native, and levelled below the plateau angle of the dog), by target rising; at
/// one target none, levelling, wedge, suture, advancement.
std::vector<RepairBone> swept_bones(const Scenario &scenario);

std::vector<double> sorted_without_repeats(std::vector<double> numbers);
} // namespace stifle
