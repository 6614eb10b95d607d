// solver/stress_lanes.h - the recovery itself, for W states at once: one state a lane, lanes innermost in every array
//   element   at corner i of a quadratic tetrahedron dU/dl_i = 3 u_i and dU/dl_j = 4 u_ij - u_j (l: barycentric coordinates, u_ij:
//             middle of the edge), so du/dx is the sum over j = 1..3 of (dU/dl_j - dU/dl_0) grad l_j
//   digits    a lane's do not depend on W nor on its neighbours: the same operations in the same order (no fused multiply-add)
#pragma once
#include "solver/stress_plan.h"

namespace stifle::solver
{
template <int W> using Lanes = Eigen::Array<double, W, 1>;
template <int W> Eigen::Map<const Lanes<W>> lanes(const double *data, std::size_t i) { return Eigen::Map<const Lanes<W>>(data + i * W); }
template <int W> Eigen::Map<Lanes<W>> lanes(double *data, std::size_t i) { return Eigen::Map<Lanes<W>>(data + i * W); }

template <int W> using CornerLanes = Lanes<W>[4][6]; ///< stress or strain at the corners of a cell

/// The formula of von_mises(), in lanes.
template <int W, class S> Lanes<W> von_mises_lanes(const S &s)
{
  const Lanes<W> a = s(0) - s(1), b = s(1) - s(2), c = s(2) - s(0);
  return (0.5 * (a * a + b * b + c * c) + 3.0 * (s(3) * s(3) + s(4) * s(4) + s(5) * s(5))).sqrt();
}

/// Strain (engineering shears) at the corners, `u` [3 node + component] of the nodes of the plan.
template <int W> void corner_strain(const StressCell &cell, const double *u, CornerLanes<W> &strain)
{
  constexpr int middle[4][4] = {{0, 4, 6, 7}, {4, 0, 5, 8}, {6, 5, 0, 9}, {7, 8, 9, 0}};
  Lanes<W>      h[4][3][3]; // [corner][a][b] = du_a / dx_b
  for (int a = 0; a < 3; ++a)
  {
    Lanes<W> value[10];
    for (int i = 0; i < 10; ++i)
      value[i] = (i < 4 ? 1.0 : 4.0) * lanes<W>(u, 3 * cell.node[i] + a);
    for (int c = 0; c < 4; ++c)
    {
      const auto     along = [&](int j) -> Lanes<W> { return j == c ? Lanes<W>(3.0 * value[c]) : Lanes<W>(value[middle[c][j]] - value[j]); };
      const Lanes<W> zero = along(0), d1 = along(1) - zero, d2 = along(2) - zero, d3 = along(3) - zero;
      for (int b = 0; b < 3; ++b)
        h[c][a][b] = d1 * cell.gradient[0][b] + d2 * cell.gradient[1][b] + d3 * cell.gradient[2][b];
    }
  }
  for (int c = 0; c < 4; ++c)
  {
    for (int a = 0; a < 3; ++a)
      strain[c][a] = h[c][a][a];
    strain[c][3] = h[c][0][1] + h[c][1][0];
    strain[c][4] = h[c][1][2] + h[c][2][1];
    strain[c][5] = h[c][0][2] + h[c][2][0];
  }
}

template <int W> void corner_stress(const StressCell &cell, const CornerLanes<W> &strain, CornerLanes<W> &stress)
{
  for (int c = 0; c < 4; ++c)
    if (cell.law)
      for (int k = 0; k < 6; ++k)
      {
        stress[c][k] = cell.law->stiffness(k, 0) * strain[c][0];
        for (int l = 1; l < 6; ++l)
          stress[c][k] += cell.law->stiffness(k, l) * strain[c][l];
      }
    else
    {
      const Lanes<W> volume = cell.lambda * (strain[c][0] + strain[c][1] + strain[c][2]);
      for (int k = 0; k < 3; ++k)
        stress[c][k] = cell.two_mu * strain[c][k] + volume;
      for (int k = 3; k < 6; ++k)
        stress[c][k] = 0.5 * cell.two_mu * strain[c][k];
    }
}

/// Adds a cell's corner values, times its volume, to `sum` [6 entry + component].
template <int W> void add_to_entries(const StressCell &cell, const CornerLanes<W> &corner, double *sum)
{
  Lanes<W> scaled[4][6];
  for (int c = 0; c < 4; ++c)
    for (int k = 0; k < 6; ++k)
      scaled[c][k] = cell.volume * corner[c][k];
  for (int i = 0; i < 4; ++i)
    if (cell.entry[i] != no_entry)
      for (int k = 0; k < 6; ++k)
        lanes<W>(sum, 6 * std::size_t(cell.entry[i]) + k) += scaled[i][k];
  constexpr int ends[6][2] = {{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}};
  for (int i = 4; i < 10; ++i)
    if (cell.entry[i] != no_entry)
      for (int k = 0; k < 6; ++k)
        lanes<W>(sum, 6 * std::size_t(cell.entry[i]) + k) += 0.5 * (scaled[ends[i - 4][0]][k] + scaled[ends[i - 4][1]][k]);
}

template <int W> void divide_by_weight(const StressPlan &plan, double *sum)
{
  for (std::size_t e = 0; e < plan.inverse_weight.size(); ++e)
    for (int k = 0; k < 6; ++k)
      lanes<W>(sum, 6 * e + k) *= plan.inverse_weight[e];
}

/// A cell's own strain, free strain taken off, and stress.
template <int W>
void own_lanes(const StressPlan &plan, const StressCell &cell, const double *u, CornerLanes<W> &strain, CornerLanes<W> &stress)
{
  const std::vector<double> &growth = plan.elasticity->free_strain();
  corner_strain<W>(cell, u, strain);
  if (!growth.empty())
    for (int c = 0; c < 4; ++c)
      for (int k = 0; k < 3; ++k)
        strain[c][k] -= growth[plan.nodes[cell.node[c]]];
  corner_stress<W>(cell, strain, stress);
}

/// `u` [3 node + component], sums [6 entry + component]: zero before, recovered after. `strain` null: not asked for.
/// `look(cell, corner stress)` is called for every cell.
template <int W, class Look> void recover_lanes(const StressPlan &plan, const double *u, double *stress, double *strain, const Look &look)
{
  CornerLanes<W> own_strain, own;
  for (const StressCell &cell : plan.cells)
  {
    own_lanes<W>(plan, cell, u, own_strain, own);
    add_to_entries<W>(cell, own, stress);
    if (strain)
      add_to_entries<W>(cell, own_strain, strain);
    look(cell, own);
  }
  divide_by_weight<W>(plan, stress);
  if (strain)
    divide_by_weight<W>(plan, strain);
}
} // namespace stifle::solver
