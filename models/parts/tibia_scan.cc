#include "models/parts/tibia_scan.h"
#include "models/core/error.h"
#include "models/parts/anatomy.h"
#include "models/parts/joint_surfaces.h"
#include "models/parts/rigid_fit.h"
#include "models/parts/surface_crossing.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double most_off_mm = 3, most_insertion_mm = 5; // assumptions: two readings of landmarks; patch of the tendon
constexpr double whole_part = 0.9;                       // of the tibia length: shorter is a piece

[[noreturn]] void refuse(const std::string &file, const std::string &message, const std::string &found, const std::string &allowed)
{
  throw InputError({InputProblem{file, 0, 0, message, found, allowed, "", "tibia"}});
}

/// Rows are the tibia axes in the frame of the files; the shift is applied first.
struct FileFrame
{
  Matrix3 axes;
  Vector3 origin;
};

/// From the landmarks, which must be there.
FileFrame frame_of(const Scenario &scenario)
{
  const Anatomy anatomy = make_anatomy(scenario);
  const auto points = points_of(scenario.tibia.surface_landmarks_mm);
  const std::vector<Vector3> goals = {Vector3::Zero(), anatomy.hock_centre, anatomy.tendon_insertion};
  static const char *const names[] = {"intercondylar point to hock centre", "hock centre to tendon insertion",
                                      "tendon insertion to intercondylar point"};
  static const char *const keys[] = {"tibia.length_mm", "tibia.tuberosity_proximal_mm and length_mm", "tibia.tuberosity_*"};
  for (int i = 0; i < 3; ++i)
    if (const double here = (points[i] - points[(i + 1) % 3]).norm(), wanted = (goals[i] - goals[(i + 1) % 3]).norm();
        std::abs(here - wanted) > most_off_mm)
      refuse(*scenario.tibia.surface, fmt::format("tibia.surface_landmarks_mm disagree with {}", keys[i]),
             fmt::format("{}: {:.4g} in the file, {:.4g} mm by the keys", names[i], here, wanted),
             fmt::format("within {:g} mm; landmarks and files share one unit, mm", most_off_mm));
  const auto triad = [](const std::vector<Vector3> &p)
  {
    Matrix3 axes;
    axes.row(2) = (p[0] - p[1]).normalized();
    axes.row(1) = axes.row(2).transpose().cross(Vector3(p[2] - p[0])).normalized();
    axes.row(0) = axes.row(1).transpose().cross(axes.row(2).transpose());
    return axes;
  };
  return {triad(goals).transpose() * triad(points), points[0]};
}

double length_of(const TriangleSurface &s)
{
  double low = 1e300, high = -1e300;
  for (const Vector3 &p : s.points)
    low = std::min(low, p.z()), high = std::max(high, p.z());
  return high - low;
}

void judge(const TriangleSurface &s, const Scenario &scenario, const std::string &key, const std::string &file)
{
  SurfaceExpectations wish;
  wish.bone = "tibia", wish.key = key, wish.open_share = 0;
  wish.length_mm = 1.05 * scenario.tibia.length_mm;
  wish.least_part = key == "tibia.surface" ? 0.85 : 0.5; // the inside of the cortex ends short of both joints
  wish.most_part = 1.2;
  check_surface(s, wish, file);
  check_crossings(s, key, file);
}

void judge_insertion(const Scenario &scenario, const TriangleSurface &s)
{
  const Vector3 goal = make_anatomy(scenario).tendon_insertion;
  const double nearest = distance_mm(s, goal);
  if (nearest > most_insertion_mm)
    refuse(*scenario.tibia.surface, "tibia.surface: the insertion of the patellar tendon does not lie on it",
           fmt::format("{:.2f} mm off x = {:.2f}, y = 0, z = {:.2f} mm", nearest, goal.x(), goal.z()),
           fmt::format("within {:g} mm; see tibia.tuberosity_cranial_mm, tuberosity_proximal_mm and surface_landmarks_mm",
                       most_insertion_mm));
}
} // namespace

TriangleSurface in_tibia_frame(const Scenario &scenario, TriangleSurface surface)
{
  if (scenario.tibia.surface_landmarks_mm.empty())
    return surface;
  const FileFrame frame = frame_of(scenario);
  for (Vector3 &p : surface.points)
    p = frame.axes * (p - frame.origin);
  return surface;
}

std::optional<TibiaScan> read_tibia_scan(const Scenario &scenario)
{
  if (!scenario.tibia.surface)
    return {};
  TibiaScan scan;
  scan.outer = in_tibia_frame(scenario, read_stl(*scenario.tibia.surface));
  if (scenario.joint.femur_surface && length_of(scan.outer) < whole_part * scenario.tibia.length_mm)
    return {};
  if (scenario.tibia.inner_surface)
    scan.inner = in_tibia_frame(scenario, read_stl(*scenario.tibia.inner_surface));
  return scan;
}

void check_tibia_scan(const Scenario &scenario)
{
  const auto scan = read_tibia_scan(scenario);
  if (!scan)
    return;
  judge(scan->outer, scenario, "tibia.surface", *scenario.tibia.surface);
  if (scan->inner)
    judge(*scan->inner, scenario, "tibia.inner_surface", *scenario.tibia.inner_surface);
  judge_insertion(scenario, scan->outer);
}
} // namespace stifle
