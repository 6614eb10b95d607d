#include "models/joint/user_surfaces.h"
#include "models/core/error.h"
#include "models/joint/layer.h"
#include <fmt/format.h>
#include <map>
#include <mutex>

namespace stifle
{
namespace
{
constexpr double piece_mm = 0.7; ///< longest side: benchmarks/surface_bed, triangles of about that size
constexpr std::size_t least_cells = 10;
constexpr double rim_search_mm = 15; ///< to either side of the chord plane

struct Bones
{
  std::array<SurfaceBed, 2> beds;
  std::shared_ptr<const DistanceGrid> femur;
  std::array<std::vector<RimPlace>, 2> rims;
  Vector3 chord;
};
using SharedBones = std::shared_ptr<const Bones>;

/// Highest point of the surface on the line base + n up, |n| at most `rim_search_mm`, where the bone faces up.
std::optional<Vector3> highest_point(const TriangleSurface &bone, const Vector3 &base, const Vector3 &up)
{
  std::optional<double> highest;
  for (const auto &t : bone.triangles)
  {
    const Vector3 &a = bone.points[t[0]], ab = bone.points[t[1]] - a, ac = bone.points[t[2]] - a, normal = ab.cross(ac);
    const double facing = normal.dot(up);
    if (facing <= 0)
      continue;
    const Vector3 from = base - a, across = up.cross(from);
    const double u = across.dot(ac) / facing, v = -across.dot(ab) / facing; // place on the triangle, Cramer's rule
    const double n = -normal.dot(from) / facing;
    if (u >= -1e-9 && v >= -1e-9 && u + v <= 1 + 1e-9 && std::abs(n) <= rim_search_mm && n > highest.value_or(-1e9))
      highest = n;
  }
  return highest ? std::optional<Vector3>(base + *highest * up) : std::nullopt;
}

const char *side_name(int side) { return side == medial ? "medial" : "lateral"; }

InputProblem problem(const Scenario &scenario, const std::string &message, const std::string &found, const std::string &allowed)
{
  return {*scenario.tibia.surface, 0, 0, message, found, allowed, "", "joint"};
}

/// Deeper in one another or farther apart than the cartilage in the pose of reference.
void judge_place(const Scenario &scenario, const SurfaceBed &bed, const RigidPose &start, const Vector3 &up, int side,
                 std::vector<InputProblem> &problems)
{
  const double layer = scenario.joint.layer_thickness_mm, deepest = bed.interpenetration_mm(start);
  const bool apart = !(bed.interpenetration_mm({start.turn, start.shift_mm - layer * up}) > 0);
  if (deepest <= layer && !apart)
    return;
  problems.push_back(problem(
      scenario,
      fmt::format("tibia.surface and joint.femur_surface {} on the {} side in the pose of reference",
                  apart ? "stand apart" : "interpenetrate", side_name(side)),
      apart ? fmt::format("more than {:g} mm", layer) : fmt::format("{:.2f} mm deep", deepest),
      fmt::format(
          "at most joint.layer_thickness_mm, {:g} mm; the tibia has its origin at the intercondylar point, the femur on the "
          "axis of the condyles: files swapped, or other frames?",
          layer)));
}

SharedBones build(const Scenario &scenario, double stiffness)
{
  const auto surfaces = read_joint_surfaces(scenario);
  const Anatomy anatomy = make_anatomy(scenario);
  const auto grid = std::make_shared<const DistanceGrid>(surfaces->femur, femur_grid_options(anatomy));
  const auto bed = [&](const CompartmentMask &mask) { return SurfaceBed(surfaces->tibia, grid, {stiffness, piece_mm, mask}); };
  PlateauFrame frame;
  frame.axes << plateau_chord(anatomy), Vector3::UnitY(), plateau_normal(anatomy);
  RigidPose start;
  start.turn = femur_rotation(anatomy.joint.reference_stifle_rad);
  start.shift_mm =
      (anatomy.joint.condyles[medial].sagittal_radius_mm - anatomy.joint.reference_indentation_mm) * plateau_normal(anatomy);
  Bones bones{{bed(medial_mask(anatomy)), bed(lateral_mask(anatomy))}, grid, {}, frame.axes.col(0)};
  const auto below = [&](double s, double y)
  { return highest_point(surfaces->tibia, frame.axes * Vector3(s, y, 0), frame.axes.col(2)); };
  const auto above = [&](const Vector3 &point) { return grid_distance(*grid, start, point); };
  std::vector<InputProblem> problems;
  for (int side : {medial, lateral})
  {
    judge_place(scenario, bones.beds[side], start, frame.axes.col(2), side, problems);
    bones.rims[side] = rim_places(anatomy.joint.menisci[side], frame, below, above);
  }
  if (!problems.empty())
    throw InputError(problems);
  return std::make_shared<const Bones>(std::move(bones));
}

/// Null when the scenario gives no surfaces.
SharedBones user_bones(const Scenario &scenario, double stiffness)
{
  if (!scenario.tibia.surface || !scenario.joint.femur_surface)
    return nullptr;
  static std::mutex mutex;
  static std::map<std::string, SharedBones> all;
  const std::string key =
      fmt::format("{}|{}|{}|{}|{}|{}", *scenario.tibia.surface, *scenario.joint.femur_surface, stiffness,
                  scenario.tibia.length_mm, scenario.tibia.plateau_angle_deg, scenario.joint.landmarks.value_or(""));
  const std::lock_guard<std::mutex> lock(mutex);
  auto at = all.find(key);
  if (at == all.end())
    at = all.emplace(key, build(scenario, stiffness)).first;
  return at->second;
}
} // namespace

std::shared_ptr<const std::array<SurfaceBed, 2>> user_surface_beds(const Scenario &scenario, double stiffness)
{
  const SharedBones bones = user_bones(scenario, stiffness);
  return bones ? std::shared_ptr<const std::array<SurfaceBed, 2>>(bones, &bones->beds) : nullptr;
}

std::vector<MeniscusRim> user_rims(const Scenario &scenario, double stiffness, const std::array<Meniscus, 2> &menisci,
                                   const RigidPose &segment)
{
  const SharedBones bones = user_bones(scenario, stiffness);
  std::vector<MeniscusRim> rims;
  std::vector<InputProblem> problems;
  for (int side : {medial, lateral})
  {
    const std::size_t found = bones->rims[side].size();
    if (!menisci[side].removed && found < least_cells)
      problems.push_back(problem(
          scenario, fmt::format("the {} meniscus does not fit between tibia.surface and joint.femur_surface", side_name(side)),
          fmt::format("{} of its 13 places lie on the tibia below the femur", found),
          fmt::format("{} or more; move or resize menisci.{} in joint.landmarks, or joint.meniscus_{}: removed", least_cells,
                      side_name(side), side_name(side))));
    rims.emplace_back(menisci[side], bones->femur, bones->rims[side], bones->chord, segment);
  }
  if (!problems.empty())
    throw InputError(problems);
  return rims;
}

void check_user_surfaces(const Scenario &scenario)
{
  const double layer =
      bonded_modulus_mpa(scenario.joint.layer_modulus_mpa) / scenario.joint.layer_thickness_mm; // kept for the run
  if (user_bones(scenario, layer))
    user_rims(scenario, layer, make_anatomy(scenario).joint.menisci, {});
}
} // namespace stifle
