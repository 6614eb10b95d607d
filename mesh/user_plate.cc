#include "mesh/user_plate.h"
#include "models/core/error.h"
#include <cmath>
#include <fmt/format.h>
#include <gmsh.h>
#include <tuple>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
constexpr double most_residual_mm = 2.0; // assumption, see the header
constexpr double sample_mm = 1.0;

[[noreturn]] void refuse(const Scenario &scenario, const std::string &message, const std::string &found, const std::string &allowed)
{
  throw InputError({InputProblem{*scenario.plate.file, 0, 0, message, found, allowed, "", "plate"}});
}

RigidFit place(const Scenario &scenario)
{
  const auto in_file = points_of(scenario.plate.landmarks_plate_mm), on_bone = points_of(scenario.plate.landmarks_bone_mm);
  RigidFit fit;
  try
  {
    fit = fit_rigidly(in_file, on_bone);
  }
  catch (const Error &error)
  {
    refuse(scenario, "plate.landmarks_plate_mm and landmarks_bone_mm do not place the plate", error.what(),
           "three points that span a triangle, the same three in both lists");
  }
  if (fit.worst_mm <= most_residual_mm)
    return fit;
  std::string sides;
  for (int i = 0; i < 3; ++i)
    sides += fmt::format("{}{:.2f} and {:.2f}", i ? ", " : "", (in_file[i] - in_file[(i + 1) % 3]).norm(),
                         (on_bone[i] - on_bone[(i + 1) % 3]).norm());
  refuse(scenario, "plate.landmarks_plate_mm and landmarks_bone_mm do not fit each other",
         fmt::format("point {} is left {:.2f} mm from its place; sides 1-2, 2-3, 3-1 in the file and on the bone: {} mm",
                     fit.worst_point + 1, fit.worst_mm, sides),
         fmt::format("at most {:g} mm after the best rigid fit", most_residual_mm));
}

/// Corners of a triangulation of the solid, which is thrown away.
std::vector<Vector3> sample_surface()
{
  gmsh::option::setNumber("Mesh.MeshSizeMax", sample_mm);
  gmsh::model::mesh::generate(2);
  gmsh::option::setNumber("Mesh.MeshSizeMax", 1e22);
  std::vector<std::size_t> tags;
  std::vector<double> xyz, parametric;
  gmsh::model::mesh::getNodes(tags, xyz, parametric, -1, -1, false, false);
  gmsh::model::mesh::clear();
  std::vector<Vector3> points;
  for (std::size_t i = 0; i < tags.size(); ++i)
    points.emplace_back(&xyz[3 * i]);
  return points;
}

double surface_of(int solid)
{
  gmsh::vectorpair faces;
  gmsh::model::getBoundary({{3, solid}}, faces, false, false, false);
  double sum = 0, area = 0;
  for (const auto &[dim, tag] : faces)
    occ::getMass(dim, tag, area), sum += area;
  return sum;
}

/// A general affine map would turn cylinders into splines.
void move_solid(int solid, const RigidFit &fit)
{
  const Eigen::AngleAxisd turn(fit.turn);
  const Vector3 &a = turn.axis();
  if (std::abs(turn.angle()) > 1e-12)
    occ::rotate({{3, solid}}, 0, 0, 0, a.x(), a.y(), a.z(), turn.angle());
  occ::translate({{3, solid}}, fit.shift.x(), fit.shift.y(), fit.shift.z());
  occ::synchronize();
}
} // namespace

double slab_thickness_mm(double volume, double surface, double length)
{
  // Width w = V/(l t) in A/2 = w l + w t + l t gives l t^2 - (A/2 - V/l) t + V = 0.
  const double b = 0.5 * surface - volume / length, root = b * b - 4 * length * volume;
  return root > 0 ? (b - std::sqrt(root)) / (2 * length) : std::cbrt(volume);
}

UserPlate read_user_plate(const Scenario &scenario)
{
  const StepPlate step = read_step_plate(*scenario.plate.file);
  if (step.holes.empty())
    refuse(scenario, "plate: no hole was found in the solid", "no cylinder face that closes all round and is empty inside",
           "holes with a cylindrical part; threads drawn as helices or cones are not found");
  UserPlate plate;
  plate.solid = step.solid, plate.volume_mm3 = step.volume_mm3;
  plate.placement = place(scenario);
  plate.thickness_mm = slab_thickness_mm(step.volume_mm3, surface_of(step.solid), (step.high - step.low).maxCoeff());
  for (const Vector3 &p : sample_surface())
    plate.surface.push_back(plate.placement(p));
  for (StepHole h : step.holes)
  {
    h.middle = plate.placement(h.middle);
    h.axis = plate.placement.turn * h.axis;
    if (h.axis.y() < 0)
      h.axis = -h.axis, std::tie(h.full_low_mm, h.full_high_mm) = std::pair(-h.full_high_mm, -h.full_low_mm);
    plate.holes.push_back(h);
  }
  move_solid(plate.solid, plate.placement);
  return plate;
}
} // namespace stifle::mesh
