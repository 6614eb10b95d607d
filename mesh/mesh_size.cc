#include "mesh/mesh_size.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
constexpr double growth = 0.45;    // added edge length per mm away from a detail
constexpr double plate_layers = 2; // edges through the plate far from holes
} // namespace

MeshSize::MeshSize(const Scenario &scenario, const ImplantFit &fit, std::vector<SizePoint> steps)
    : bone_(scenario.mesh.bone_size_mm), detail_(scenario.mesh.detail_size_mm), core_radius_(0.5 * scenario.screws.core_mm),
      thickness_(scenario.plate.thickness_mm), fit_(fit), steps_(std::move(steps))
{
}

double MeshSize::operator()(const Vector3 &p) const
{
  double size = bone_;
  for (const ScrewFit &k : fit_.screws)
  {
    const double r = std::hypot(p.x() - k.x, p.z() - k.z) - core_radius_; // from the core, negative inside
    if (r > bone_ / growth)
      continue;
    const double top = k.plate_y + thickness_, beyond = std::max({0.0, p.y() - top, k.tip_y - p.y()});
    size = std::min(size, 2 * detail_ + growth * std::hypot(std::max(0.0, r), beyond));
    for (const double y : {top, k.plate_y, k.entry_y})
      size = std::min(size, detail_ + growth * std::hypot(r, p.y() - y));
  }
  if (!fit_.plate.stations.empty() && p.y() > 0)
  {
    const auto &s = fit_.plate.stations;
    if (p.z() > s.front().z && p.z() < s.back().z && p.y() > fit_.plate.inner(p.z()) - 0.1)
      size = std::min(size, std::max(thickness_ / plate_layers, detail_));
  }
  for (const SizePoint &s : steps_)
    if (const double reach = (size - s.size_mm) / growth; reach > 0)
      if (const double d2 = (p - s.place).squaredNorm(); d2 < reach * reach)
        size = s.size_mm + growth * std::sqrt(d2);
  return size;
}
} // namespace stifle::mesh
