// tests/solver/calculix_support.h - what the comparisons with CalculiX share
#pragma once
#include "solver/construct_results.h"
#include "solver/patch_load.h"
#include <set>

namespace stifle::solver
{
/// Removes mean displacement and rotation of the talar patch, so that two supports can be compared.
inline Vector without_rigid_motion(const Elasticity &e, Vector u)
{
  remove_mean_motion(e, make_patch(e.mesh(), e.mesh().find_surface("talar")->triangles), u);
  return u;
}

inline bool near_excluded(const mesh::TetMesh &mesh, const Vector3 &x, double distance_mm)
{
  return std::any_of(mesh.excluded.begin(), mesh.excluded.end(), [&](const auto &line) {
    const Vector3 along = line.to - line.from;
    const double  s     = std::min(1.0, std::max(0.0, (x - line.from).dot(along) / along.squaredNorm()));
    return (line.from + s * along - x).norm() < distance_mm;
  });
}

inline std::set<std::size_t> nodes_of(const Elasticity &e, const std::vector<mesh::Triangle> &triangles)
{
  std::set<std::size_t> nodes;
  for (const mesh::Triangle &t : triangles)
    for (const unsigned node : e.face_nodes(t))
      nodes.insert(node);
  return nodes;
}

struct PlatePeak
{
  double      mpa = 0;
  std::size_t cell = 0;
};
/// Largest von Mises of the cell means in the plate, away from excluded lines.
inline PlatePeak plate_peak(const Elasticity &e, const std::vector<std::array<double, 6>> &mean_stress)
{
  PlatePeak peak;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    Vector3 middle = Vector3::Zero();
    for (int i = 0; i < 4; ++i)
      middle += 0.25 * e.nodes()[e.cells()[c][i]];
    if (e.mesh().parts[e.mesh().part[c]] == "plate" && von_mises(mean_stress[c]) > peak.mpa &&
        !near_excluded(e.mesh(), middle, excluded_distance_mm))
      peak = {von_mises(mean_stress[c]), c};
  }
  return peak;
}
} // namespace stifle::solver
