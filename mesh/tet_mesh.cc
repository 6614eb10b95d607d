#include "mesh/tet_mesh.h"
#include <algorithm>
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

std::vector<BoundaryFace> boundary_faces(const TetMesh &mesh)
{
  // Corner order that points away from the fourth corner of a positive tetrahedron.
  static const int out[4][3] = {{1, 2, 3}, {0, 3, 2}, {0, 1, 3}, {0, 2, 1}};
  struct Entry
  {
    Triangle sorted;
    BoundaryFace face;
  };
  std::vector<Entry> entries;
  entries.reserve(4 * mesh.tetrahedra.size());
  for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
    for (const auto &o : out)
    {
      const Tetrahedron &c = mesh.tetrahedra[t];
      Entry e{{c[o[0]], c[o[1]], c[o[2]]}, {{c[o[0]], c[o[1]], c[o[2]]}, t}};
      std::sort(e.sorted.begin(), e.sorted.end());
      entries.push_back(e);
    }
  std::stable_sort(entries.begin(), entries.end(), [](const Entry &a, const Entry &b) { return a.sorted < b.sorted; });
  std::vector<BoundaryFace> result;
  for (std::size_t i = 0, j = 0; i < entries.size(); i = j)
  {
    while (j < entries.size() && entries[j].sorted == entries[i].sorted)
      ++j;
    if (j == i + 1)
      result.push_back(entries[i].face);
  }
  std::stable_sort(result.begin(), result.end(),
                   [](const BoundaryFace &a, const BoundaryFace &b) { return a.tetrahedron < b.tetrahedron; });
  return result;
}

double volume(const TetMesh &mesh, std::size_t tetrahedron)
{
  const Tetrahedron &t = mesh.tetrahedra[tetrahedron];
  const Vector3 &a = mesh.points[t[0]];
  return (mesh.points[t[1]] - a).cross(mesh.points[t[2]] - a).dot(mesh.points[t[3]] - a) / 6.0;
}

double quality(const TetMesh &mesh, std::size_t tetrahedron)
{
  const Tetrahedron &t = mesh.tetrahedra[tetrahedron];
  double sum = 0;
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
