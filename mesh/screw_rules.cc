#include "mesh/screw_rules.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::mesh
{
namespace
{
constexpr double largest_gap_mm = 8.0; // plate to bone at a hole
constexpr double joint_distance_mm = 2.0, cut_distance_mm = 0.5, screw_distance_mm = 1.0;
constexpr double tip_beyond_mm = 1.0;  // screw tip beyond the far cortex: common practice
constexpr double longest_tip_mm = 6.0; // assumption: a longer tip is a mistake
constexpr double least_grip_mm = 2.0;  // assumption: thread in bone
constexpr double least_floor_mm = 1.0; // assumption: a screw in one cortex ends this far before the far skin

void check_length(const ScrewFit &k, double outer_face, double low_entry, double far_y)
{
  const double length = (outer_face - k.tip_y) / k.axis.y();
  if (k.tip_y < far_y - longest_tip_mm)
    throw Error(fmt::format("{}: longer than the bone: {:.1f} mm from plate to tip, it ends {:.1f} mm beyond the far cortex, at "
                            "most {:g} mm",
                            k.name, length, far_y - k.tip_y, longest_tip_mm));
  if (k.both_cortices && k.tip_y > k.exit_y)
    throw Error(fmt::format("{}: shorter than the bone: {:.1f} mm from plate to tip, the far cortex ends at {:.1f} mm; "
                            "screws.cortices may be one",
                            k.name, length, outer_face - k.exit_y));
  if (k.tip_y > low_entry - least_grip_mm)
    throw Error(
        fmt::format("{}: hardly in the bone: {:.1f} mm from plate to tip, the bone starts at {:.1f} mm and {:g} mm of grip "
                    "are needed",
                    k.name, length, outer_face - low_entry, least_grip_mm));
  if (!k.both_cortices && k.tip_y < k.exit_y + least_floor_mm)
    throw Error(
        fmt::format("{}: passes both cortices though screws.cortices is one: {:.1f} mm from plate to tip, at most {:.1f} mm",
                    k.name, length, outer_face - k.exit_y - least_floor_mm));
}
} // namespace

std::optional<double> axis_meets_skin(const BoneSite &site, const ScrewFit &k, int side, const std::array<double, 2> &off)
{
  double y = k.plate_y;
  for (int i = 0; i < 60; ++i) // the skin is steeper than the axis: each step is nearer
  {
    const Vector3 p = k.at(y);
    const auto skin = site.height(p.x() + off[0], p.z() + off[1], side);
    if (!skin || k.axis == Vector3::UnitY() || std::abs(*skin - y) < 1e-6)
      return skin;
    y = *skin;
  }
  return {};
}

double axis_distance_mm(const ScrewFit &a, const ScrewFit &b)
{
  const Vector3 p = a.at(a.entry_y), u = a.at(a.tip_y) - p, q = b.at(b.entry_y), v = b.at(b.tip_y) - q, w = p - q;
  const double uu = u.dot(u), uv = u.dot(v), vv = v.dot(v), det = uu * vv - uv * uv;
  const auto distance = [&](double s, double t) { return (w + s * u - t * v).norm(); };
  const auto on_b = [&](double s) { return std::clamp((w + s * u).dot(v) / vv, 0.0, 1.0); };
  const auto on_a = [&](double t) { return std::clamp((t * v - w).dot(u) / uu, 0.0, 1.0); };
  double least = std::min({distance(0, on_b(0)), distance(1, on_b(1)), distance(on_a(0), 0), distance(on_a(1), 1)});
  if (det > 1e-12 * uu * vv)
  {
    const double s = std::clamp((uv * w.dot(v) - vv * w.dot(u)) / det, 0.0, 1.0);
    least = std::min(least, distance(s, on_b(s)));
  }
  return least;
}

void place_screw(const BoneSite &site, ScrewFit &k, double outer_face)
{
  const auto entry = axis_meets_skin(site, k, +1), exit = axis_meets_skin(site, k, -1);
  if (!entry || !exit)
    throw Error(fmt::format("{}: misses the bone at x = {:g}, z = {:g} mm", k.name, k.x, k.z));
  k.entry_y = *entry, k.exit_y = *exit, k.tip_y = *exit;
  double low_entry = *entry;
  for (int i = 0; i < 12; ++i)
    for (const int side : {+1, -1})
    {
      const double r = 0.5 * k.major_mm, a = i * pi / 6;
      const auto y = axis_meets_skin(site, k, side, {r * std::cos(a), r * std::sin(a)});
      if (!y)
        throw Error(fmt::format("{}: leaves the bone: no bone {:.2f} mm beside its axis at x = {:g}, z = {:g} mm", k.name, r, k.x,
                                k.z));
      k.tip_y = std::min(k.tip_y, *y);
      if (side > 0)
        low_entry = std::min(low_entry, *y);
    }
  const double far_y = k.tip_y; // the far cortex is passed all round
  k.tip_y -= tip_beyond_mm;
  if (!k.both_cortices)
    k.tip_y = 0.5 * (k.entry_y + k.exit_y);
  if (k.length_mm)
    k.tip_y = outer_face - *k.length_mm * k.axis.y();
  check_length(k, outer_face, low_entry, far_y);
  if (k.plate_y - k.entry_y > largest_gap_mm)
    throw Error(fmt::format("plate: misses the bone: {:.1f} mm of gap at {} (x = {:g}, z = {:g} mm), at most {:g} mm",
                            k.plate_y - k.entry_y, k.name, k.x, k.z, largest_gap_mm));
}

void check_plan(const BoneSite &site, const ScrewFit &k, const Vector3 &p)
{
  const Levelling &levelling = site.levelling;
  const double r = 0.5 * k.major_mm, slope = site.anatomy.plateau_angle_rad;
  const Vector3 normal(-std::sin(slope), 0, std::cos(slope));
  const double below = -levelling.turned(normal).dot(p - levelling.moved(Vector3::Zero())) - r;
  if (below < joint_distance_mm)
    throw Error(fmt::format("{}: passes the joint surface: its thread lies {:.2f} mm below the plateau, at least {:g} mm is "
                            "needed (axis at x = {:g}, z = {:g} mm)",
                            k.name, below, joint_distance_mm, p.x(), p.z()));
  const double from_axis = std::hypot(p.x() - levelling.centre.x(), p.z() - levelling.centre.z());
  const double clear = (k.proximal ? levelling.radius_mm - from_axis : from_axis - levelling.radius_mm) - r;
  if (clear < cut_distance_mm)
    throw Error(fmt::format("{}: passes the cut: its thread clears the arc of radius {:g} mm by {:.2f} mm on the {} side, at "
                            "least {:g} mm is needed (axis at x = {:g}, z = {:g} mm)",
                            k.name, levelling.radius_mm, clear, k.proximal ? "proximal" : "distal", cut_distance_mm, p.x(),
                            p.z()));
}

void check_neighbours(const ScrewFit &k, const std::vector<ScrewFit> &holes)
{
  for (const ScrewFit &other : holes)
  {
    const double between = std::hypot(k.x - other.x, k.z - other.z) - 0.5 * (k.outer_mm() + other.outer_mm());
    if (&other != &k && between < screw_distance_mm)
      throw Error(fmt::format("{}: passes {}: {:.2f} mm between {}, at least {:g} mm is needed", k.name, other.name, between,
                              k.kind == HoleKind::locking && other.kind == HoleKind::locking ? "the threads" : "the holes",
                              screw_distance_mm));
  }
}

void check_tilted(const BoneSite &site, const std::vector<ScrewFit> &screws)
{
  constexpr int n = 16;
  for (const ScrewFit &k : screws)
  {
    for (int i = 0; i <= n; ++i)
      check_plan(site, k, k.at(k.entry_y + (k.tip_y - k.entry_y) * i / n));
    for (const ScrewFit &other : screws)
      if (const double between = axis_distance_mm(k, other) - 0.5 * (k.major_mm + other.major_mm);
          &other != &k && between < screw_distance_mm)
        throw Error(fmt::format("{}: meets {} inside the bone: {:.2f} mm between the threads, at least {:g} mm is needed", k.name,
                                other.name, between, screw_distance_mm));
  }
}
} // namespace stifle::mesh
