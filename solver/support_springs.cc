#include "solver/support_springs.h"
#include "models/core/error.h"
#include "solver/reference_element.h"
#include <algorithm>

namespace stifle::solver
{
Eigen::MatrixXd thread_stiffness(double stiffness)
{
  const auto &mass = reference_element().face_mass;
  Eigen::MatrixXd k = Eigen::MatrixXd::Zero(36, 36);
  for (int i = 0; i < 12; ++i)
    for (int j = 0; j < 12; ++j)
      k.block<3, 3>(3 * i, 3 * j) = ((i < 6) == (j < 6) ? 1 : -1) * stiffness * mass(i % 6, j % 6) * Matrix3::Identity();
  return k;
}

std::array<NodeSpring, 3> rigid_pins(const mesh::TetMesh &mesh)
{
  const auto &x = mesh.points;
  std::vector<unsigned> distal;
  for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
    if (mesh.component.at(mesh.part[t]) == 1)
      distal.insert(distal.end(), mesh.tetrahedra[t].begin(), mesh.tetrahedra[t].end());
  if (distal.empty())
    throw Error("construct: the mesh has no distal bone (component 1)");
  const auto farthest = [&](auto measure)
  { return *std::max_element(distal.begin(), distal.end(), [&](unsigned i, unsigned j) { return measure(i) < measure(j); }); };
  const unsigned low = farthest([&](unsigned i) { return -x[i].z(); });
  const unsigned far = farthest([&](unsigned i) { return (x[i] - x[low]).norm(); });
  const Vector3 line = (x[far] - x[low]).normalized();
  const unsigned side = farthest([&](unsigned i) { return line.cross(x[i] - x[low]).norm(); });
  const Vector3 normal = line.cross(x[side] - x[low]).normalized();
  return {{{low, Matrix3::Identity()}, {far, Matrix3::Identity() - line * line.transpose()}, {side, normal * normal.transpose()}}};
}
} // namespace stifle::solver
