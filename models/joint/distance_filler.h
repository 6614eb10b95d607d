// models/joint/distance_filler.h - distances at the nodes of a DistanceGrid: near the triangles first, then outwards and inwards
#pragma once
#include "models/joint/distance_grid.h"
#include "models/parts/triangle_distance.h"

namespace stifle
{
/// Normals of faces, edges and corners (angle-weighted), and which edges and corners lie on an open rim.
class SurfaceSigns
{
public:
  explicit SurfaceSigns(const TriangleSurface &surface);
  /// Distance of p to triangle t. Nearest to a rim: positive.
  double signed_distance(const Vector3 &p, int t) const;
  double squared_distance(const Vector3 &p, int t) const { return (p - nearest(p, t).point).squaredNorm(); }

private:
  NearestOnTriangle nearest(const Vector3 &p, int t) const
  {
    const auto &[a, b, c] = surface_.triangles[t];
    return nearest_on_triangle(p, surface_.points[a], surface_.points[b], surface_.points[c]);
  }
  const TriangleSurface &surface_;
  std::vector<std::array<Vector3, 3>> edge_normals_; ///< by triangle; zero on a rim
  std::vector<Vector3> face_normals_, point_normals_;
  std::vector<char> on_rim_; ///< by point
};

class DistanceFiller
{
public:
  DistanceFiller(DistanceGrid &grid, const TriangleSurface &surface) : grid_(grid), surface_(surface), signs_(surface) {}
  void fill();

private:
  void near_triangle(int t);
  void spread();
  Vector3 node(const DistanceGrid::Index &n) const { return grid_.origin_ + grid_.cell_ * n.matrix().cast<double>(); }
  DistanceGrid::Index index(std::size_t node) const
  {
    return {int(node % grid_.nx_), int(node / grid_.nx_ % grid_.ny_), int(node / (grid_.nx_ * grid_.ny_))};
  }

  DistanceGrid &grid_;
  const TriangleSurface &surface_;
  SurfaceSigns signs_;
  std::vector<int> nearest_;    ///< triangle, -1 none
  std::vector<double> squared_; ///< distance to it
};
} // namespace stifle
