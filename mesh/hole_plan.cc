#include "mesh/hole_plan.h"
#include "models/core/error.h"
#include "models/core/per_hole.h"
#include "models/parts/screw_size.h"
#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace stifle::mesh
{
namespace
{
/// One entry stands for all holes.
template <class T> const T &entry(const std::vector<T> &list, std::size_t hole, std::size_t n_holes, const char *key)
{
  if (list.size() != 1 && list.size() != n_holes)
    throw Error(fmt::format("screws.{}: {} entries for {} holes", key, list.size(), n_holes));
  return per_hole(list, hole);
}

void fill(HolePlan &hole, std::size_t i, std::size_t n, const ScrewParameters &p)
{
  const std::string &kind = entry(p.holes, i, n, "holes"), &size = entry(p.sizes, i, n, "sizes");
  hole.kind = kind == "none" ? HoleKind::open : kind == "plain" ? HoleKind::plain : HoleKind::locking;
  hole.core_mm = p.core_mm, hole.major_mm = p.major_mm;
  if (size != "own")
  {
    const ScrewSize row = find_screw_size(size);
    hole.core_mm = row.core_mm, hole.major_mm = row.major_mm;
  }
  hole.both_cortices = entry(p.cortices, i, n, "cortices") == "both";
  if (!p.lengths_mm.empty())
    hole.length_mm = entry(p.lengths_mm, i, n, "lengths_mm");
  if (hole.kind == HoleKind::plain)
  {
    hole.preload_n = entry(p.preload_n, i, n, "preload_n");
    hole.compression_n = entry(p.compression_n, i, n, "compression_n");
  }
}
} // namespace

std::array<double, 2> PlateTurn::operator()(double x, double z) const
{
  if (angle_rad == 0)
    return {x, z};
  const double c = std::cos(angle_rad), s = std::sin(angle_rad), dx = x - centre_x, dz = z - centre_z;
  return {centre_x + c * dx + s * dz, centre_z - s * dx + c * dz};
}

PlateTurn plate_turn(const Scenario &scenario)
{
  const ScrewParameters &p = scenario.screws;
  const double sum = std::accumulate(p.distal_z_mm.begin(), p.distal_z_mm.end(),
                                     std::accumulate(p.proximal_z_mm.begin(), p.proximal_z_mm.end(), 0.0));
  return {scenario.plate.craniocaudal_mm, sum / (p.proximal_z_mm.size() + p.distal_z_mm.size()),
          radians(scenario.plate.inclination_deg)};
}

void fill_holes(std::vector<HolePlan> &holes, const ScrewParameters &screws)
{
  for (std::size_t i = 0; i < holes.size(); ++i)
    fill(holes[i], i, holes.size(), screws);
}

void name_holes(std::vector<HolePlan> &holes)
{
  for (std::size_t i = 0; i < holes.size(); ++i)
    holes[i].name = fmt::format("{}_{}", holes[i].kind == HoleKind::open ? "hole" : "screw", i + 1);
}

std::vector<HolePlan> plan_holes(const Scenario &scenario)
{
  const ScrewParameters &p = scenario.screws;
  if (p.proximal_x_mm.size() != p.proximal_z_mm.size() || p.proximal_x_mm.empty() || p.distal_z_mm.empty() ||
      (!p.distal_x_mm.empty() && p.distal_x_mm.size() != p.distal_z_mm.size()))
    throw Error(
        fmt::format("screws: {} proximal x, {} proximal z, {} distal x and {} distal z; lists must be alike, heights not empty",
                    p.proximal_x_mm.size(), p.proximal_z_mm.size(), p.distal_x_mm.size(), p.distal_z_mm.size()));
  std::vector<HolePlan> holes;
  for (std::size_t i = 0; i < p.proximal_x_mm.size(); ++i)
    holes.push_back({"", p.proximal_x_mm[i], p.proximal_z_mm[i], true, HoleKind::locking, 0, 0, true, {}, 0, 0});
  for (std::size_t i = 0; i < p.distal_z_mm.size(); ++i)
    holes.push_back({"",
                     p.distal_x_mm.empty() ? scenario.plate.craniocaudal_mm : p.distal_x_mm[i],
                     p.distal_z_mm[i],
                     false,
                     HoleKind::locking,
                     0,
                     0,
                     true,
                     {},
                     0,
                     0});
  fill_holes(holes, p);
  std::stable_sort(holes.begin(), holes.end(),
                   [](const HolePlan &a, const HolePlan &b) { return a.proximal != b.proximal ? a.proximal : a.z > b.z; });
  name_holes(holes);
  return holes;
}
} // namespace stifle::mesh
