// models/joint/distance_grid.h - signed distance to a surface of triangles, smooth enough for exact first and second derivatives
//   frame   that of the surface; distance mm, negative inside (towards the clockwise side of the triangles)
//   nodes   exact distance to the nearest triangle within two cells, elsewhere to the nearest of those of the neighbours; the
//   sign
//           is that of the angle-weighted normal of the nearest face, edge or corner. Nearest to an open rim counts as outside.
//   between cubic B-splines on c = (8 f_i - f_(i-1) - f_(i+1)) / 6 in each direction: exact for cubics, twice continuously
//           differentiable. Source: quasi-interpolation by cubic splines, derived from the moments of the B-spline
//   limits  every node inside is known, outside those within `reach_cells`; farther away the distance is infinite. The grid ends
//           at the box of the options: no surface is seen beyond. At most 40 million nodes
//   errors  Error: nothing of the surface in the box, too many nodes
#pragma once
#include "models/parts/surface.h"
#include <cstdint>
#include <optional>

namespace stifle
{
struct GridOptions
{
  double cell_mm = 0.5;
  Vector3 low = Vector3::Constant(-1e9), high = Vector3::Constant(1e9); ///< the part of the surface that may touch
};

class DistanceGrid
{
public:
  struct Sample
  {
    double distance_mm;
    Vector3 gradient;  ///< exact derivative of distance_mm
    Matrix3 curvature; ///< exact derivative of gradient, 1/mm
  };

  DistanceGrid(const TriangleSurface &surface, const GridOptions &options);

  /// A place found in the grid; lives as long as the grid.
  struct Spot
  {
    bool surely_inside = false;
    const double *first = nullptr; ///< lowest of its 64 coefficients
    Vector3 place;                 ///< in the cell, 0 to 1
  };

  /// False only when the distance is above 0; when true, `spot` is found.
  bool may_be_inside(const Vector3 &p, Spot &spot) const;
  /// True only when every point within radius_mm lies outside; radius_mm at most `reach_cells` - 2 cells.
  bool is_clear(const Vector3 &p, double radius_mm) const;
  double distance_mm(const Spot &spot) const;
  Sample sample(const Spot &spot) const;
  /// Infinite where a node is unknown.
  double distance_mm(const Vector3 &p) const;
  /// Nothing where a node is unknown: outside, farther than `reach_cells` - 2 cells.
  std::optional<Sample> sample(const Vector3 &p) const;

  double cell_mm() const { return cell_; }
  std::size_t n_nodes() const { return distance_.size(); }
  static constexpr double reach_cells = 7;

private:
  friend class DistanceFiller;
  using Index = Eigen::Array3i;
  std::size_t at(int i, int j, int k) const { return std::size_t(i) + nx_ * (std::size_t(j) + ny_ * std::size_t(k)); }
  enum Cell : std::uint8_t
  {
    far,     ///< not all nodes known
    outside, ///< no value at or below 0
    touching,
    inside ///< no value at or above 0
  };
  /// False outside of the grid.
  bool locate(const Vector3 &p, Spot &spot, Cell &state) const;
  void make_coefficients();
  Cell judge_cell(int i, int j, int k) const;
  void mark_cells();

  double cell_ = 0, per_mm_ = 0;
  Vector3 origin_ = Vector3::Zero();
  Index size_ = Index::Zero();
  std::size_t nx_ = 0, ny_ = 0;
  std::vector<double> distance_, coefficient_; ///< by node; infinite where unknown
  std::vector<Cell> state_;                    ///< by lowest node of the cell
};
} // namespace stifle
