#include "mesh/tet_mesh.h"
#include <cmath>

namespace stifle::mesh
{
const Surface *TetMesh::find_surface(const std::string &name) const
{
  for (const Surface &surface : surfaces)
    if (surface.name == name)
      return &surface;
  return nullptr;
}

int TetMesh::find_part(const std::string &name) const
{
  for (std::size_t i = 0; i < parts.size(); ++i)
    if (parts[i] == name)
      return static_cast<int>(i);
  return -1;
}

double volume(const TetMesh &mesh, std::size_t tetrahedron)
{
  const Tetrahedron &t = mesh.tetrahedra[tetrahedron];
  const Vector3     &a = mesh.points[t[0]];
  return (mesh.points[t[1]] - a).cross(mesh.points[t[2]] - a).dot(mesh.points[t[3]] - a) / 6.0;
}

double quality(const TetMesh &mesh, std::size_t tetrahedron)
{
  const Tetrahedron &t   = mesh.tetrahedra[tetrahedron];
  double             sum = 0;
  for (int i = 0; i < 4; ++i)
    for (int j = i + 1; j < 4; ++j)
      sum += (mesh.points[t[i]] - mesh.points[t[j]]).squaredNorm();
  const double v = volume(mesh, tetrahedron);
  // 12 (3V)^(2/3) / sum of squared edges: 1 for the regular tetrahedron.
  return v <= 0 ? 0.0 : 12.0 * std::cbrt(9.0 * v * v) / sum;
}

double part_volume(const TetMesh &mesh, unsigned part)
{
  double sum = 0;
  for (std::size_t i = 0; i < mesh.tetrahedra.size(); ++i)
    if (mesh.part[i] == part)
      sum += volume(mesh, i);
  return sum;
}
} // namespace stifle::mesh
