// solver/guard_lanes.h - what entries that are not candidates can have at most, without recovering them (lanes as in stress_lanes.h)
//   why     a recovered value is a mean of the cells' own values at that node, weights > 0; von Mises, largest tension, stretch and
//           shortening are convex, so none lies above the largest of the own values. Own values need no sums over cells
#pragma once
#include "solver/peak_lanes.h"

namespace stifle::solver
{
/// Cells with entries that are not candidates, and which of their ten nodes are to be looked at: -1 no, 0 as kept, 1 as excluded.
/// The middle of an edge lies between its ends: not looked at where both ends are, in the same group.
struct GuardPlan
{
  StressPlan                           plan;
  std::vector<std::array<signed char, 10>> look;
};

template <int W> struct LaneBounds ///< of one part
{
  Lanes<W> von_mises[2]{Lanes<W>::Zero(), Lanes<W>::Zero()}, tension = von_mises[0], stretch = von_mises[0], shortening = von_mises[0];
  /// A row of this lane could have lain outside the candidates; 1e-12 for the rounding of a mean.
  bool above(const Extremes &found, int lane) const
  {
    constexpr double least = 1 - 1e-12;
    const double     kept = found.von_mises[0].mpa, excluded = std::max(kept, found.von_mises[1].mpa);
    return von_mises[0](lane) > least * kept || von_mises[1](lane) > least * excluded || tension(lane) > least * found.tension.mpa ||
           stretch(lane) > least * found.stretch || shortening(lane) > least * found.shortening;
  }
};

/// Corner values as values of the ten nodes, [6 node + component].
template <int W> void ten_nodes(const CornerLanes<W> &corner, const std::array<signed char, 10> &look, double *value)
{
  constexpr int ends[6][2] = {{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}};
  for (int i = 0; i < 10; ++i)
    if (look[i] >= 0)
      for (int k = 0; k < 6; ++k)
        lanes<W>(value, 6 * i + k) = i < 4 ? corner[i][k] : Lanes<W>(0.5 * (corner[ends[i - 4][0]][k] + corner[ends[i - 4][1]][k]));
}

template <int W>
void take_bounds(const LaneField<W> &field, const std::array<signed char, 10> &look, LaneBounds<W> &bounds)
{
  for (int i = 0; i < 10; ++i)
  {
    if (look[i] < 0)
      continue;
    const Lanes<W> v          = field.von_mises(i);
    Lanes<W>      &von_mises = bounds.von_mises[int(look[i])];
    von_mises                = von_mises.max(v);
    if (look[i] == 1)
      continue;
    const PrincipalBounds<W> b(field, i, v);
    bounds.tension    = bounds.tension.max(b.tension);
    bounds.stretch    = bounds.stretch.max(b.stretch);
    bounds.shortening = bounds.shortening.max(b.shortening);
  }
}

/// Per part; `material(part)` as in LaneField. `with_strain`: cells of a part differ.
template <int W, class MaterialOf>
std::vector<LaneBounds<W>> bound_lanes(const GuardPlan &guard, const double *u, bool with_strain, const MaterialOf &material)
{
  const mesh::TetMesh       &mesh = guard.plan.elasticity->mesh();
  std::vector<LaneBounds<W>> bounds(mesh.parts.size());
  std::vector<double>        stress(60 * W), strain(60 * W);
  CornerLanes<W>             own_strain, own;
  for (std::size_t i = 0; i < guard.plan.cells.size(); ++i)
  {
    const StressCell &cell = guard.plan.cells[i];
    own_lanes<W>(guard.plan, cell, u, own_strain, own);
    ten_nodes<W>(own, guard.look[i], stress.data());
    if (with_strain)
      ten_nodes<W>(own_strain, guard.look[i], strain.data());
    const unsigned part = mesh.part[cell.cell];
    take_bounds<W>({stress.data(), with_strain ? strain.data() : nullptr, material(part)}, guard.look[i], bounds[part]);
  }
  return bounds;
}
} // namespace stifle::solver
