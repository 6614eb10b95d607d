#include "models/joint/user_surfaces.h"
#include "models/core/error.h"
#include <fmt/format.h>
#include <map>
#include <mutex>

namespace stifle
{
namespace
{
using Beds = std::shared_ptr<const std::array<SurfaceBed, 2>>;

Beds build(const Scenario &scenario, double stiffness)
{
  const auto surfaces = read_joint_surfaces(scenario);
  const Anatomy anatomy = make_anatomy(scenario);
  const auto grid = std::make_shared<const DistanceGrid>(surfaces->femur, femur_grid_options(anatomy));
  const auto bed = [&](const CompartmentMask &mask) { return SurfaceBed(surfaces->tibia, grid, {stiffness, 0.5, mask}); };
  Beds beds(new std::array<SurfaceBed, 2>{bed(medial_mask(anatomy)), bed(lateral_mask(anatomy))});
  RigidPose start;
  start.turn = femur_rotation(anatomy.joint.reference_stifle_rad);
  start.shift_mm =
      (anatomy.joint.condyles[medial].sagittal_radius_mm - anatomy.joint.reference_indentation_mm) * plateau_normal(anatomy);
  for (const SurfaceBed &each : *beds)
    if (each.interpenetration_mm(start) > scenario.joint.layer_thickness_mm)
      throw InputError({{*scenario.tibia.surface, 0, 0,
                         fmt::format("the bones interpenetrate by {:.2f} mm in the reference pose",
                                     each.interpenetration_mm(start)),
                         *scenario.joint.femur_surface,
                         fmt::format("at most joint.layer_thickness_mm, {} mm; femur frame: origin on the axis of the condyles",
                                     scenario.joint.layer_thickness_mm),
                         "", "joint"}});
  return beds;
}
} // namespace

Beds user_surface_beds(const Scenario &scenario, double stiffness)
{
  if (!scenario.tibia.surface || !scenario.joint.femur_surface)
    return nullptr;
  static std::mutex mutex;
  static std::map<std::string, Beds> all;
  const std::string key = fmt::format("{}|{}|{}|{}|{}|{}", *scenario.tibia.surface, *scenario.joint.femur_surface, stiffness,
                                      scenario.tibia.length_mm,
                                      scenario.tibia.plateau_angle_deg, scenario.joint.landmarks.value_or(""));
  const std::lock_guard<std::mutex> lock(mutex);
  auto at = all.find(key);
  if (at == all.end())
    at = all.emplace(key, build(scenario, stiffness)).first;
  return at->second;
}

void check_user_surfaces(const Scenario &scenario) { user_surface_beds(scenario, 1); }
} // namespace stifle
