#include "models/parts/joint_surfaces.h"
#include "models/core/error.h"
#include "models/parts/anatomy.h"
#include "models/parts/tibia_scan.h"

namespace stifle
{
namespace
{
TriangleSurface read(const Scenario &scenario, const std::string &file, const SurfaceExpectations &wish,
                     std::vector<InputProblem> &problems)
{
  TriangleSurface surface;
  bool checking = false;
  try
  {
    surface = read_stl(file);
    if (wish.bone == "tibia")
      surface = in_tibia_frame(scenario, std::move(surface));
    checking = true;
    check_surface(surface, wish, file);
  }
  catch (const InputError &error)
  {
    for (InputProblem problem : error.problems())
    {
      problem.message = (checking ? "" : wish.key + ": ") + problem.message;
      problem.section = wish.key.substr(0, wish.key.find('.'));
      problems.push_back(problem);
    }
  }
  return surface;
}
} // namespace

SurfaceExpectations tibia_expectations(const Scenario &scenario)
{
  SurfaceExpectations wish;
  wish.bone = "tibia";
  wish.key = "tibia.surface";
  wish.length_mm = 1.05 * scenario.tibia.length_mm; // malleolus and eminence stand out beyond hock centre and origin
  wish.origin_most_mm = 0.04 * scenario.tibia.length_mm;
  wish.origin = "the intercondylar point";
  return wish;
}

SurfaceExpectations femur_expectations(const Scenario &scenario)
{
  const Anatomy anatomy = make_anatomy(scenario);
  SurfaceExpectations wish;
  wish.bone = "femur";
  wish.key = "joint.femur_surface";
  wish.length_mm = 1.1 * anatomy.femur_length_mm; // condyles and greater trochanter stand out beyond the two centres
  wish.origin_most_mm = 1.3 * anatomy.condyle_radius_mm;
  wish.origin = "the centre of the condyle circle";
  return wish;
}

std::optional<JointSurfaces> read_joint_surfaces(const Scenario &scenario)
{
  if (!scenario.tibia.surface || !scenario.joint.femur_surface)
    return {};
  std::vector<InputProblem> problems;
  JointSurfaces surfaces;
  surfaces.tibia = read(scenario, *scenario.tibia.surface, tibia_expectations(scenario), problems);
  surfaces.femur = read(scenario, *scenario.joint.femur_surface, femur_expectations(scenario), problems);
  if (!problems.empty())
    throw InputError(problems);
  return surfaces;
}
} // namespace stifle
