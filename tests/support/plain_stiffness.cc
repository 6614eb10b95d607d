#include "tests/support/plain_stiffness.h"
#include <limits>
#include <map>

using stifle::Matrix3;
using stifle::Vector3;

namespace
{
// Edges of VTK type 24 in order: 01 12 02 03 13 23.
constexpr int edge[6][2] = {{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}};

/// Gradients of the ten shape functions at barycentric coordinates l, from the gradients g of the coordinates.
std::array<Vector3, 10> shape_gradients(const std::array<Vector3, 4> &g, const std::array<double, 4> &l)
{
  std::array<Vector3, 10> n;
  for (int i = 0; i < 4; ++i)
    n[i] = (4 * l[i] - 1) * g[i];
  for (int e = 0; e < 6; ++e)
    n[4 + e] = 4 * (l[edge[e][0]] * g[edge[e][1]] + l[edge[e][1]] * g[edge[e][0]]);
  return n;
}
} // namespace

std::array<Vector3, 10> cell_forces(const stifle::FieldData &field, std::size_t cell)
{
  const auto &ids = field.cells[cell];
  Matrix3 edges; // rows: corner i minus corner 0, so that edges * grad L_i = e_i
  for (int i = 0; i < 3; ++i)
    edges.row(i) = (field.points_mm[ids[i + 1]] - field.points_mm[ids[0]]).transpose();
  const Matrix3 inverse = edges.inverse();
  const std::array<Vector3, 4> g{
      {Vector3(-inverse.rowwise().sum()), Vector3(inverse.col(0)), Vector3(inverse.col(1)), Vector3(inverse.col(2))}};
  const double weight = edges.determinant() / 6 / 4; // four points of equal weight
  const double nu = field.poisson_ratio[cell], mu = field.modulus_mpa[cell] / (2 * (1 + nu));
  const double lambda = 2 * mu * nu / (1 - 2 * nu);

  std::array<Vector3, 10> force;
  force.fill(Vector3::Zero());
  const double b = (5 - std::sqrt(5.0)) / 20, a = 1 - 3 * b;
  for (int q = 0; q < 4; ++q)
  {
    std::array<double, 4> l{{b, b, b, b}};
    l[q] = a;
    const auto n = shape_gradients(g, l);
    Matrix3 slope = Matrix3::Zero();
    for (int i = 0; i < 10; ++i)
      slope += field.displacement_mm[ids[i]] * n[i].transpose();
    const Matrix3 strain = (slope + slope.transpose()) / 2;
    const Matrix3 stress = 2 * mu * strain + lambda * strain.trace() * Matrix3::Identity();
    for (int i = 0; i < 10; ++i)
      force[i] += weight * stress * n[i];
  }
  return force;
}

double worst_unbalanced(const stifle::FieldData &field)
{
  std::map<int, Vector3> rest;
  double largest = 0, worst = 0;
  for (std::size_t p = 0; p < field.points_mm.size(); ++p)
  {
    auto &sum = rest.emplace(field.node[p], Vector3::Zero()).first->second;
    sum -= field.force_n[p];
    largest = std::max(largest, field.force_n[p].norm());
  }
  for (std::size_t c = 0; c < field.cells.size(); ++c)
  {
    const auto force = cell_forces(field, c);
    for (int i = 0; i < 10; ++i)
      rest[field.node[field.cells[c][i]]] += force[i];
  }
  for (const auto &[node, sum] : rest)
    worst = std::max(worst, sum.norm());
  return largest > 0 ? worst / largest : std::numeric_limits<double>::infinity();
}
