#include "mesh/saw_cut.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>
#include <gmsh.h>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
/// The saw cut: a cylinder about y with its seam turned up, out of the bone.
int saw_cylinder(const Levelling &levelling, double half_length)
{
  const Vector3 &c = levelling.centre;
  // A circle in the plane z = 0 that starts at -y; turned about x it stands in (x, z) and starts at +z.
  const int circle = occ::addCircle(0, 0, 0, levelling.radius_mm, -1, -pi / 2, 1.5 * pi);
  const int disc = occ::addPlaneSurface({occ::addCurveLoop({circle})});
  occ::rotate({{2, disc}}, 0, 0, 0, 1, 0, 0, -pi / 2);
  occ::translate({{2, disc}}, c.x(), -half_length, c.z());
  gmsh::vectorpair out;
  occ::extrude({{2, disc}}, 0, 2 * half_length, 0, out);
  return tags_of(out).at(0);
}

/// Points along a curve, when all of it lies on the saw cylinder and it is not a line along y.
std::vector<Vector3> sample_on_cylinder(int curve, const Levelling &levelling)
{
  constexpr int n = 24;
  std::vector<double> low, high, at, xyz;
  gmsh::model::getParametrizationBounds(1, curve, low, high);
  for (int i = 0; i <= n; ++i)
    at.push_back(low[0] + (high[0] - low[0]) * i / n);
  gmsh::model::getValue(1, curve, at, xyz);
  std::vector<Vector3> points;
  for (int i = 0; i <= n; ++i)
  {
    points.emplace_back(&xyz[3 * i]);
    const Vector3 p = points.back() - levelling.centre;
    if (std::abs(std::hypot(p.x(), p.z()) - levelling.radius_mm) > 1e-4)
      return {};
  }
  return points;
}
} // namespace

Halves saw(int solid, const std::string &name, const Levelling &levelling, double half_length)
{
  const double whole = volume_of(solid);
  const int cylinder = saw_cylinder(levelling, half_length);
  gmsh::vectorpair inside, outside;
  std::vector<gmsh::vectorpair> map;
  occ::intersect(solids({solid}), solids({cylinder}), inside, map, -1, false, false);
  occ::cut(solids({solid}), solids({cylinder}), outside, map, -1, true, true);
  if (inside.size() != 1 || outside.size() != 1)
    throw Error(fmt::format("levelling: the arc of radius {:g} mm about x = {:.2f} mm cuts the {} into {} proximal and {} distal "
                            "pieces; one of each is needed",
                            levelling.radius_mm, levelling.centre.x(), name, inside.size(), outside.size()));
  const Halves h{inside[0].second, outside[0].second};
  const double lost = std::abs(volume_of(h.proximal) + volume_of(h.distal) - whole) / whole;
  if (lost > 1e-3)
    throw Error(fmt::format("levelling: the cut of the {} lost {:.2f} % of its volume (CAD failure)", name, 100 * lost));
  const Vector3 x = levelling.turned(Vector3::UnitX()), &c = levelling.centre;
  occ::rotate(solids({h.proximal}), c.x(), c.y(), c.z(), 0, 1, 0, std::atan2(-x.z(), x.x()));
  return h;
}

std::vector<SizePoint> size_steps(double bone_size_mm, const Levelling &levelling)
{
  constexpr double per_gap = 2.0, least_part = 0.15; // edge length per distance; at least this part of the bone size
  gmsh::vectorpair curves;
  gmsh::model::getEntities(curves, 1);
  std::vector<std::vector<Vector3>> samples;
  for (const auto &[dim, tag] : curves)
    if (auto points = sample_on_cylinder(tag, levelling); !points.empty())
      samples.push_back(std::move(points));
  std::vector<SizePoint> steps;
  for (std::size_t i = 0; i < samples.size(); ++i)
    for (const Vector3 &p : samples[i])
    {
      double nearest = 1e300;
      for (std::size_t j = 0; j < samples.size(); ++j)
        for (const Vector3 &q : samples[j])
          if (i != j)
            nearest = std::min(nearest, (p - q).norm());
      const double size = std::max(per_gap * nearest, least_part * bone_size_mm);
      if (size < bone_size_mm)
        steps.push_back({p, size});
    }
  return steps;
}
} // namespace stifle::mesh
