#include "mesh/finish_construct.h"
#include "mesh/improve.h"
#include "mesh/split_mesh.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
constexpr double wanted_quality = 0.25; // tetrahedra below it are worked on; what is left is reported

ConstructMesh::Screw screw_of(const ScrewFit &k, double inclination_rad)
{
  const Vector3 up(std::sin(inclination_rad), 0, std::cos(inclination_rad)); // along the plate
  return {k.name, k.at(k.plate_y), k.at(k.entry_y), k.at(k.tip_y), k.proximal, k.kind, k.core_mm, k.major_mm, k.preload_n,
          k.compression_n, k.proximal ? Vector3(-up) : up};
}
} // namespace

ConstructMesh finish_construct(TetMesh joined, const ImplantFit &fit, double inclination_rad, const Anatomy &anatomy,
                               const Levelling &levelling)
{
  ConstructMesh c;
  improve(joined, levelling, wanted_quality);
  for (const ScrewFit &k : fit.screws)
    c.screws.push_back(screw_of(k, inclination_rad));
  c.mesh = split_components(joined, anatomy, levelling, c.screws);
  c.worst_quality = 1;
  for (std::size_t t = 0; t < c.mesh.tetrahedra.size(); ++t)
    c.worst_quality = std::min(c.worst_quality, quality(c.mesh, t));
  return c;
}
} // namespace stifle::mesh
