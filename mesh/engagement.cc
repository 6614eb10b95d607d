#include "mesh/engagement.h"
#include "models/parts/part_name.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
constexpr double across = 0.5; ///< of the normal along the axis: above it the face is an end, not thread

struct Held
{
  double cortex_mm2 = 0, cancellous_mm2 = 0, low_mm = 1e300, high_mm = -1e300;
};

Held held_by(const ConstructMesh &construct, const ConstructMesh::Screw &screw)
{
  const TetMesh &mesh = construct.mesh;
  const int part = mesh.find_part(screw.name);
  const Vector3 axis = (screw.tip - screw.head).normalized();
  Held held;
  for (const FacePair &face : mesh.threads)
  {
    if (static_cast<int>(face.part_a) != part)
      continue;
    const Vector3 &a = mesh.points[face.a[0]], &b = mesh.points[face.a[1]], &c = mesh.points[face.a[2]];
    const Vector3 area = 0.5 * (b - a).cross(c - a);
    if (std::abs(area.dot(axis)) > across * area.norm())
      continue;
    const bool cortex = is_cortex(mesh.parts[face.part_b]);
    (cortex ? held.cortex_mm2 : held.cancellous_mm2) += area.norm();
    for (const Vector3 &corner : {a, b, c})
    {
      const double along = (corner - screw.head).dot(axis);
      held.low_mm = std::min(held.low_mm, along);
      held.high_mm = std::max(held.high_mm, along);
    }
  }
  return held;
}
} // namespace

std::vector<ScrewEngagement> screw_engagement(const ConstructMesh &construct)
{
  std::vector<ScrewEngagement> all;
  for (const ConstructMesh::Screw &screw : construct.screws)
  {
    const Held held = held_by(construct, screw);
    const double area = held.cortex_mm2 + held.cancellous_mm2;
    all.push_back({screw.name, 0, 0, screw.proximal});
    if (!(area > 0))
      continue;
    const double extent = held.high_mm - held.low_mm;
    all.back().cortex_mm = extent * held.cortex_mm2 / area;
    all.back().cancellous_mm = extent * held.cancellous_mm2 / area;
  }
  return all;
}
} // namespace stifle::mesh
