#include "models/joint/surface_bed.h"
#include "models/core/error.h"
#include "models/joint/spring_sums.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr std::size_t cluster_points = 32;
constexpr std::size_t max_points = 2'000'000;
constexpr double least_facing = 0.1; ///< cosine: walls steeper than 84 degrees carry nothing

/// A sample of the grid as a spring meets it.
SurfaceAt<double> surface_at(const DistanceGrid::Sample &s)
{
  SurfaceAt<double> at;
  at.depth_mm = -s.distance_mm;
  for (int i = 0; i < 3; ++i)
  {
    at.outward[i] = s.gradient[i];
    for (int j = 0; j < 3; ++j)
      at.curvature[i][j] = s.curvature(i, j);
  }
  return at;
}

CompartmentMask mask(const Anatomy &a, double side)
{
  const double x = 1.3 * a.plateau_half_length_mm, outer = side * (a.condyle_offset_mm + a.condyle_width_mm);
  return {Vector3(-x, std::min(0.0, outer), -x), Vector3(x, std::max(0.0, outer), x), plateau_normal(a)};
}
} // namespace

CompartmentMask medial_mask(const Anatomy &anatomy) { return mask(anatomy, 1); }
CompartmentMask lateral_mask(const Anatomy &anatomy) { return mask(anatomy, -1); }

GridOptions femur_grid_options(const Anatomy &anatomy)
{
  const double reach = 3 * anatomy.condyle_radius_mm;
  return {0.5, Vector3::Constant(-reach), Vector3::Constant(reach)};
}

SurfaceBed::SurfaceBed(const TriangleSurface &tibia, std::shared_ptr<const DistanceGrid> femur, const Options &options)
    : femur_(std::move(femur)), options_(options)
{
  if (!(options.stiffness_mpa_per_mm > 0) || !(options.point_size_mm > 0))
    throw Error("surface bed: stiffness and point size must be above 0");
  for (std::size_t t = 0; t < tibia.triangles.size(); ++t)
    add_pieces(tibia, int(t));
  if (points_.empty())
    throw Error("surface bed: no part of the tibial surface lies in the compartment; is it in the tibia frame?");
  cluster(0, points_.size());
}

/// n^2 equal pieces, each with its centre; the area counts once.
void SurfaceBed::add_pieces(const TriangleSurface &tibia, int triangle)
{
  const auto &[ia, ib, ic] = tibia.triangles[triangle];
  const Vector3 &a = tibia.points[ia], ab = tibia.points[ib] - a, ac = tibia.points[ic] - a, normal = ab.cross(ac);
  const CompartmentMask &mask = options_.mask;
  const Vector3 least = a.cwiseMin(a + ab).cwiseMin(a + ac), most = a.cwiseMax(a + ab).cwiseMax(a + ac);
  if (normal.dot(mask.up) <= least_facing * normal.norm() || (most.array() < mask.low.array()).any() ||
      (least.array() > mask.high.array()).any())
    return;
  const double longest = std::max({ab.norm(), ac.norm(), (ac - ab).norm()});
  const double pieces = std::ceil(longest / options_.point_size_mm);
  if (pieces * pieces + double(points_.size()) > max_points)
    throw Error(fmt::format("surface bed: more than {} points; the triangles are too large for pieces of {} mm", max_points,
                            options_.point_size_mm));
  const int n = int(pieces);
  const auto add = [&](double i, double j)
  {
    const Vector3 place = a + i / n * ab + j / n * ac;
    if ((place.array() >= mask.low.array()).all() && (place.array() <= mask.high.array()).all())
      points_.push_back({place, normal.norm() / (2.0 * n * n)});
  };
  for (int i = 0; i < n; ++i)
    for (int j = 0; i + j < n; ++j)
    {
      add(i + 1 / 3.0, j + 1 / 3.0);
      if (i + j + 1 < n)
        add(i + 2 / 3.0, j + 2 / 3.0);
    }
}

/// Halves along the longest side until few points are left.
void SurfaceBed::cluster(std::size_t first, std::size_t last)
{
  Eigen::AlignedBox3d box;
  for (std::size_t i = first; i < last; ++i)
    box.extend(points_[i].place);
  if (last - first <= cluster_points)
  {
    Cluster leaf{box.center(), 0, first, last};
    for (std::size_t i = first; i < last; ++i)
      leaf.radius = std::max(leaf.radius, (points_[i].place - leaf.centre).norm());
    clusters_.push_back(leaf);
    return;
  }
  int axis = 0;
  box.sizes().maxCoeff(&axis);
  const std::size_t middle = first + (last - first) / 2;
  std::nth_element(points_.begin() + first, points_.begin() + middle, points_.begin() + last,
                   [axis](const Point &a, const Point &b) { return a.place[axis] < b.place[axis]; });
  cluster(first, middle);
  cluster(middle, last);
}

template <class Visit> void SurfaceBed::near_points(const RigidPose &pose, const Visit &visit) const
{
  if (!pose.turn.allFinite() || !pose.shift_mm.allFinite())
    throw Error("surface bed: the pose is not finite");
  const Matrix3 back = pose.turn.transpose();
  const Vector3 shift = -back * pose.shift_mm;
  DistanceGrid::Spot spot;
  for (const Cluster &leaf : clusters_)
  {
    if (femur_->is_clear(back * leaf.centre + shift, leaf.radius))
      continue;
    for (std::size_t i = leaf.first; i < leaf.last; ++i)
    {
      const Vector3 q = back * points_[i].place + shift;
      if (femur_->may_be_inside(q, spot))
        visit(points_[i], q, spot);
    }
  }
}

BedWrench SurfaceBed::wrench(const RigidPose &pose) const
{
  SpringSums<double> sums;
  BedWrench result;
  const auto press = [&](const Point &point, const Vector3 &q, const DistanceGrid::Spot &spot)
  {
    if (!spot.surely_inside && !(femur_->distance_mm(spot) < 0))
      return;
    const SurfaceAt<double> at = surface_at(femur_->sample(spot));
    const double pressure = options_.stiffness_mpa_per_mm * at.depth_mm, stiffness = options_.stiffness_mpa_per_mm * point.area;
    sums.add({q.x(), q.y(), q.z()}, at, stiffness * at.depth_mm, stiffness);
    result.load_n += pressure * point.area;
    result.area_mm2 += point.area;
    result.area_above_mm2 += pressure > high_pressure_mpa ? point.area : 0;
    result.peak_mpa = std::max(result.peak_mpa, pressure);
    result.centre_mm += pressure * point.area * point.place;
  };
  near_points(pose, press);
  if (result.load_n > 0)
    result.centre_mm /= result.load_n;
  const Matrix6 change = wrench_change(pose);
  result.on_tibia = change * sums.wrench();
  result.slope = change * sums.slope() * change.transpose();
  return result;
}

BedWrench SurfaceBed::wrench(const RigidPose &pose, const RigidPose &segment) const
{
  const Matrix3 back = segment.turn.transpose();
  return carried(wrench({back * pose.turn, back * (pose.shift_mm - segment.shift_mm)}), segment);
}

double SurfaceBed::energy_nmm(const RigidPose &pose) const
{
  double sum = 0;
  const auto store = [&](const Point &point, const Vector3 &, const DistanceGrid::Spot &spot)
  {
    const double depth = std::max(0.0, -femur_->distance_mm(spot));
    sum += options_.stiffness_mpa_per_mm * point.area * depth * depth / 2;
  };
  near_points(pose, store);
  return sum;
}

double SurfaceBed::interpenetration_mm(const RigidPose &pose) const
{
  double deepest = 0;
  const auto look = [&](const Point &, const Vector3 &, const DistanceGrid::Spot &spot)
  { deepest = std::max(deepest, -femur_->distance_mm(spot)); };
  near_points(pose, look);
  return deepest;
}

double SurfaceBed::area_mm2() const
{
  double sum = 0;
  for (const Point &point : points_)
    sum += point.area;
  return sum;
}
} // namespace stifle
