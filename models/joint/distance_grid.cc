#include "models/joint/distance_grid.h"
#include "models/core/error.h"
#include "models/joint/distance_filler.h"
#include <algorithm>
#include <fmt/format.h>
#include <limits>

namespace stifle
{
namespace
{
constexpr double max_nodes = 40e6;
const char *const nothing_there = "distance grid: no part of the surface lies in the box where bones may touch";
constexpr double infinity = std::numeric_limits<double>::infinity();
using Four = Eigen::Array4d;

/// Cubic B-splines of the four nodes about a cell at place t, and their derivatives with respect to t.
struct Spline
{
  Four value, slope, bend;
};
inline Four spline_values(double t)
{
  const double s = 1 - t;
  return Four(s * s * s, 3 * t * t * t - 6 * t * t + 4, 3 * s * s * s - 6 * s * s + 4, t * t * t) * (1.0 / 6);
}
inline Spline spline(double t)
{
  const double s = 1 - t;
  return {spline_values(t), Four(-s * s, 3 * t * t - 4 * t, 4 * s - 3 * s * s, t * t) * 0.5, Four(s, 3 * t - 2, 3 * s - 2, t)};
}
} // namespace

DistanceGrid::DistanceGrid(const TriangleSurface &surface, const GridOptions &options)
    : cell_(options.cell_mm), per_mm_(1 / options.cell_mm)
{
  Eigen::AlignedBox3d box;
  for (const auto &triangle : surface.triangles)
    for (const int p : triangle)
      box.extend(surface.points[p]);
  const double margin = (reach_cells + 3) * cell_;
  const Vector3 low = (box.min().array() - margin).matrix().cwiseMax(options.low);
  const Vector3 high = (box.max().array() + margin).matrix().cwiseMin(options.high);
  if (box.isEmpty() || !(cell_ > 0) || !((high - low).minCoeff() >= 6 * cell_))
    throw Error(nothing_there);
  const Vector3 cells = ((high - low) / cell_).array().ceil();
  if (!((cells.array() + 1).prod() <= max_nodes))
    throw Error(fmt::format("distance grid: {:.3g} nodes of {} mm, at most {:g}", (cells.array() + 1).prod(), cell_, max_nodes));
  origin_ = low;
  size_ = cells.array().cast<int>() + 1;
  nx_ = std::size_t(size_[0]);
  ny_ = std::size_t(size_[1]);
  DistanceFiller(*this, surface).fill();
  if (*std::min_element(distance_.begin(), distance_.end()) == infinity)
    throw Error(nothing_there);
  make_coefficients();
  mark_cells();
}

/// One direction after the other; a node at the end of the known ones gets no coefficient.
void DistanceGrid::make_coefficients()
{
  coefficient_ = distance_;
  const std::array<std::size_t, 3> strides{1, nx_, nx_ * ny_};
  for (int axis = 0; axis < 3; ++axis)
  {
    const std::vector<double> f = coefficient_;
    const std::size_t stride = strides[axis];
    for (std::size_t n = 0; n < f.size(); ++n)
    {
      const int place = int(n / stride % std::size_t(size_[axis]));
      const bool inner =
          place > 0 && place < size_[axis] - 1 && f[n] < infinity && f[n - stride] < infinity && f[n + stride] < infinity;
      coefficient_[n] = inner ? (8 * f[n] - f[n - stride] - f[n + stride]) / 6 : infinity;
    }
  }
}

/// By the value in the middle and half a cell in each direction at the steepest slope: the slope of a B-spline lies between the
/// differences of its coefficients.
DistanceGrid::Cell DistanceGrid::judge_cell(int i, int j, int k) const
{
  static const Four weight = spline_values(0.5);
  double middle = 0;
  Vector3 steepest = Vector3::Zero();
  for (int d = 0; d < 64; ++d)
  {
    const int a = d % 4, b = d / 4 % 4, c = d / 16;
    const double *node = &coefficient_[at(i - 1 + a, j - 1 + b, k - 1 + c)];
    if (!(*node < infinity))
      return far;
    middle += weight[a] * weight[b] * weight[c] * *node;
    steepest[0] = std::max(steepest[0], a > 0 ? std::abs(node[0] - node[-1]) : 0);
    steepest[1] = std::max(steepest[1], b > 0 ? std::abs(node[0] - *(node - nx_)) : 0);
    steepest[2] = std::max(steepest[2], c > 0 ? std::abs(node[0] - *(node - nx_ * ny_)) : 0);
  }
  const double most = 0.5 * steepest.sum();
  return middle > most ? outside : middle < -most ? inside : touching;
}

void DistanceGrid::mark_cells()
{
  state_.assign(distance_.size(), far);
  for (int k = 1; k < size_[2] - 2; ++k)
    for (int j = 1; j < size_[1] - 2; ++j)
      for (int i = 1; i < size_[0] - 2; ++i)
        if (coefficient_[at(i, j, k)] < infinity)
          state_[at(i, j, k)] = judge_cell(i, j, k);
}

bool DistanceGrid::locate(const Vector3 &p, Spot &spot, Cell &state) const
{
  const Vector3 u = per_mm_ * (p - origin_);
  Index cell;
  for (int axis = 0; axis < 3; ++axis)
  {
    if (!(u[axis] >= 1 && u[axis] < size_[axis] - 2))
      return false;
    cell[axis] = int(u[axis]);
    spot.place[axis] = u[axis] - cell[axis];
  }
  state = state_[at(cell[0], cell[1], cell[2])];
  spot.first = &coefficient_[at(cell[0] - 1, cell[1] - 1, cell[2] - 1)];
  return true;
}

bool DistanceGrid::may_be_inside(const Vector3 &p, Spot &spot) const
{
  Cell state = far;
  const bool found = locate(p, spot, state) && state >= touching;
  spot.surely_inside = found && state == inside;
  return found;
}

bool DistanceGrid::is_clear(const Vector3 &p, double radius_mm) const
{
  // Outside of the grid, or at a node without distance, the surface is at least `reach_cells` away (or cut off by the box).
  const Vector3 u = (p - origin_) / cell_, last = (size_.cast<double>() - 1).matrix();
  if ((u.array() < -radius_mm / cell_).any() || (u.array() > last.array() + radius_mm / cell_).any())
    return true;
  if ((u.array() < 0).any() || (u.array() >= last.array()).any())
    return false;
  const double node = distance_[at(int(u[0] + 0.5), int(u[1] + 0.5), int(u[2] + 0.5))];
  return node > radius_mm + 1.5 * cell_ && radius_mm <= (reach_cells - 2) * cell_;
}

double DistanceGrid::distance_mm(const Vector3 &p) const
{
  Spot spot;
  Cell state = far;
  return locate(p, spot, state) && state != far ? distance_mm(spot) : infinity;
}

std::optional<DistanceGrid::Sample> DistanceGrid::sample(const Vector3 &p) const
{
  Spot spot;
  Cell state = far;
  return locate(p, spot, state) && state != far ? std::optional(sample(spot)) : std::nullopt;
}

double DistanceGrid::distance_mm(const Spot &spot) const
{
  const Four x = spline_values(spot.place[0]), y = spline_values(spot.place[1]), z = spline_values(spot.place[2]);
  Four sum = Four::Zero();
  const double *plane = spot.first;
  for (int k = 0; k < 4; ++k, plane += nx_ * ny_)
  {
    Four rows = Four::Zero();
    const double *start = plane;
    for (int j = 0; j < 4; ++j, start += nx_)
      rows += y[j] * Eigen::Map<const Four>(start);
    sum += z[k] * rows;
  }
  return (sum * x).sum();
}

DistanceGrid::Sample DistanceGrid::sample(const Spot &spot) const
{
  const Spline x = spline(spot.place[0]), y = spline(spot.place[1]), z = spline(spot.place[2]);
  // Sums over y and z; the first digit counts derivatives in y, the second in z.
  Four s00 = Four::Zero(), s10 = s00, s20 = s00, s01 = s00, s11 = s00, s02 = s00;
  const double *plane = spot.first;
  for (int k = 0; k < 4; ++k, plane += nx_ * ny_)
  {
    Four r0 = Four::Zero(), r1 = r0, r2 = r0;
    const double *start = plane;
    for (int j = 0; j < 4; ++j, start += nx_)
    {
      const Eigen::Map<const Four> row(start);
      r0 += y.value[j] * row;
      r1 += y.slope[j] * row;
      r2 += y.bend[j] * row;
    }
    s00 += z.value[k] * r0;
    s10 += z.value[k] * r1;
    s20 += z.value[k] * r2;
    s01 += z.slope[k] * r0;
    s11 += z.slope[k] * r1;
    s02 += z.bend[k] * r0;
  }
  const double one = per_mm_, two = one * one;
  const auto dot = [](const Four &a, const Four &b) { return (a * b).sum(); };
  const double xy = two * dot(x.slope, s10), xz = two * dot(x.slope, s01), yz = two * dot(x.value, s11);
  Matrix3 curvature;
  curvature << two * dot(x.bend, s00), xy, xz, xy, two * dot(x.value, s20), yz, xz, yz, two * dot(x.value, s02);
  return {dot(x.value, s00), one * Vector3(dot(x.slope, s00), dot(x.value, s10), dot(x.value, s01)), curvature};
}
} // namespace stifle
