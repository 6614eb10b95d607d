#include "mesh/mesh_size.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
constexpr double growth = 0.45;      // added edge length per mm away from a detail
constexpr double plate_layers = 2;   // edges through the plate far from holes
constexpr double full_core_mm = 2.9; // a thinner screw gets shorter edges: as many round it as round this one
} // namespace

MeshSize::MeshSize(const Scenario &scenario, const ImplantFit &fit, std::vector<SizePoint> steps)
    : bone_(scenario.mesh.bone_size_mm), detail_(scenario.mesh.detail_size_mm), fit_(fit), steps_(std::move(steps))
{
}

double MeshSize::detail_of(const ScrewFit &k) const { return detail_ * std::min(1.0, k.core_mm / full_core_mm); }

double MeshSize::top(const ScrewFit &k) const { return k.bore_mm > 0 ? k.bore_top_y : k.plate_y + fit_.thickness_mm; }
double MeshSize::in_plate() const { return std::max(fit_.thickness_mm / plate_layers, detail_); }

double MeshSize::operator()(const Vector3 &p) const
{
  double size = bone_;
  for (const ScrewFit &k : fit_.screws)
  {
    const double r = k.off_axis(p) - 0.5 * k.core_mm; // from the core, negative inside
    if (r > bone_ / growth)
      continue;
    const double beyond = std::max({0.0, p.y() - top(k), k.tip_y - p.y()});
    const double detail = detail_of(k);
    size = std::min(size, 2 * detail + growth * std::hypot(std::max(0.0, r), beyond));
    for (const double y : {top(k), k.plate_y, k.entry_y})
      size = std::min(size, detail + growth * std::hypot(r, p.y() - y));
  }
  const auto rim = [&](const ScrewFit &k, double radius)
  {
    const double r = std::abs(k.off_axis(p) - radius);
    size = std::min(size, detail_of(k) + growth * std::hypot(r, std::max({0.0, p.y() - top(k), k.plate_y - p.y()})));
  };
  for (const ScrewFit &k : fit_.open_holes)
    rim(k, 0.5 * k.hole_mm());
  for (const ScrewFit &k : fit_.screws)
    if (k.kind == HoleKind::plain)
      rim(k, 0.5 * k.hole_mm()), rim(k, 0.5 * k.head_mm());
    else if (k.bore_mm > k.core_mm)
      rim(k, 0.5 * k.bore_mm);
  if (!fit_.plate.stations.empty() && p.y() > 0)
  {
    const auto &s = fit_.plate.stations;
    if (p.z() > s.front().z && p.z() < s.back().z && p.y() > fit_.plate.inner(p.z()) - 0.1)
      size = std::min(size, in_plate());
  }
  for (const SizePoint &s : steps_)
    if (const double reach = (size - s.size_mm) / growth; reach > 0)
      if (const double d2 = (p - s.place).squaredNorm(); d2 < reach * reach)
        size = s.size_mm + growth * std::sqrt(d2);
  return size;
}
} // namespace stifle::mesh
