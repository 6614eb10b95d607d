#include "tests/support/tension_bar.h"
#include <algorithm>
#include <map>
#include <set>

using stifle::FieldData;
using stifle::Vector3;

namespace
{
constexpr int nx = 2, ny = 2, nz = 6;
constexpr double size_x = 3, size_y = 2, size_z = 12, modulus = 200000, poisson = 0.3, tension = 100;
constexpr int edge[6][2] = {{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}};

/// Points get an id per (place on the half-step lattice, part); nodes an id per place.
class Builder
{
public:
  FieldData field;

  unsigned point(std::array<int, 3> at, int part)
  {
    const auto [entry, is_new] = points_.emplace(std::make_pair(at, part), unsigned(field.points_mm.size()));
    if (is_new)
      add_point(at);
    return entry->second;
  }

private:
  std::map<std::pair<std::array<int, 3>, int>, unsigned> points_;
  std::map<std::array<int, 3>, int> nodes_;

  void add_point(std::array<int, 3> at)
  {
    const Vector3 x(at[0] * size_x / (2 * nx), at[1] * size_y / (2 * ny), at[2] * size_z / (2 * nz));
    const double strain = tension / modulus;
    field.points_mm.push_back(x);
    field.node.push_back(nodes_.emplace(at, int(nodes_.size())).first->second);
    field.displacement_mm.emplace_back(-poisson * strain * x.x(), -poisson * strain * x.y(), strain * x.z());
    field.force_n.push_back(Vector3::Zero());
    field.stress_mpa.push_back({{0, 0, tension, 0, 0, 0}});
    field.von_mises_mpa.push_back(tension);
  }
};

void add_cell(Builder &bar, const std::array<std::array<int, 3>, 4> &corner, int part)
{
  std::array<unsigned, 10> ids;
  for (int i = 0; i < 4; ++i)
    ids[i] = bar.point(corner[i], part);
  for (int e = 0; e < 6; ++e)
  {
    const auto &a = corner[edge[e][0]], &b = corner[edge[e][1]];
    ids[4 + e] = bar.point({{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2}}, part);
  }
  bar.field.cells.push_back(ids);
  bar.field.part.push_back(part);
  bar.field.modulus_mpa.push_back(modulus);
  bar.field.poisson_ratio.push_back(poisson);
}

/// Six tetrahedra about the long diagonal, one for each order of the three axes; odd orders are turned to positive volume.
void add_brick(Builder &bar, std::array<int, 3> low, int part)
{
  std::array<int, 3> order{{0, 1, 2}};
  do
  {
    std::array<std::array<int, 3>, 4> corner{{low, low, low, low}};
    for (int step = 0; step < 3; ++step)
      for (int i = step + 1; i < 4; ++i)
        corner[i][order[step]] += 2;
    const bool odd = (order[1] - order[0] + 3) % 3 == 2;
    if (odd)
      std::swap(corner[1], corner[2]);
    add_cell(bar, corner, part);
  } while (std::next_permutation(order.begin(), order.end()));
}

/// Area of the triangle of corners and, per mid-side, a third of area times traction.
void pull_ends(FieldData &field)
{
  constexpr int face[4][6] = {{0, 1, 2, 4, 5, 6}, {0, 1, 3, 4, 8, 7}, {1, 2, 3, 5, 9, 8}, {0, 2, 3, 6, 9, 7}};
  for (const auto &cell : field.cells)
    for (const auto &f : face)
      for (const double end : {0.0, size_z})
      {
        const Vector3 &a = field.points_mm[cell[f[0]]], &b = field.points_mm[cell[f[1]]], &c = field.points_mm[cell[f[2]]];
        if (a.z() != end || b.z() != end || c.z() != end)
          continue;
        const double area = (b - a).cross(c - a).norm() / 2;
        for (int i = 3; i < 6; ++i)
          field.force_n[cell[f[i]]].z() += (end > 0 ? 1 : -1) * area * tension / 3;
      }
}
} // namespace

FieldData tension_bar()
{
  Builder bar;
  bar.field.part_names = {"lower", "upper"};
  for (int k = 0; k < nz; ++k)
    for (int j = 0; j < ny; ++j)
      for (int i = 0; i < nx; ++i)
        add_brick(bar, {{2 * i, 2 * j, 2 * k}}, k < nz / 2 ? 0 : 1);
  pull_ends(bar.field);
  return bar.field;
}

double smallest_volume_mm3(const FieldData &field)
{
  double smallest = 1e300;
  for (const auto &c : field.cells)
  {
    const Vector3 &a = field.points_mm[c[0]];
    smallest =
        std::min(smallest, (field.points_mm[c[1]] - a).cross(field.points_mm[c[2]] - a).dot(field.points_mm[c[3]] - a) / 6);
  }
  return smallest;
}
