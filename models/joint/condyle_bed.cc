#include "models/joint/condyle_bed.h"
#include "models/joint/gauss_legendre.h"
#include <algorithm>
#include <array>

namespace stifle
{
namespace
{
struct Ray
{
  double angle, weight;
};
/// Edges of the plateau seen from the deepest point, in units of the patch.
struct Window
{
  double low_x, high_x, low_y, high_y;
};

/// Directions of the corners and of the places where a round patch crosses an edge: there the length of the rays has a kink.
std::vector<double> kinks(const Window &w)
{
  std::vector<double> angles;
  for (const double x : {w.low_x, w.high_x})
  {
    for (const double y : {w.low_y, w.high_y})
      angles.push_back(std::atan2(y, x));
    if (std::abs(x) < 1 && x != 0)
      angles.insert(angles.end(), {std::acos(x), -std::acos(x)});
  }
  for (const double y : {w.low_y, w.high_y})
    if (std::abs(y) < 1 && y != 0)
      angles.insert(angles.end(), {std::asin(y), std::remainder(pi - std::asin(y), 2 * pi)});
  std::sort(angles.begin(), angles.end());
  angles.push_back(angles.front() + 2 * pi);
  return angles;
}

bool leaves(const Window &w, double angle)
{
  const double x = std::cos(angle), y = std::sin(angle);
  return (x < -1e-9 && w.low_x >= 0) || (x > 1e-9 && w.high_x <= 0) || (y < -1e-9 && w.low_y >= 0) || (y > 1e-9 && w.high_y <= 0);
}

/// Evenly round a patch that lies inside (exact for smooth rims), else Gauss points between the kinks.
std::vector<Ray> rays_of(const Window &w, int n_rays)
{
  std::vector<Ray> rays;
  const bool finite = std::isfinite(w.low_x + w.high_x + w.low_y + w.high_y);
  if (!finite || std::min({-w.low_x, w.high_x, -w.low_y, w.high_y}) > 1.3)
  {
    for (int i = 0; i < n_rays; ++i)
      rays.push_back({2 * pi * (i + 0.5) / n_rays, 2 * pi / n_rays});
    return rays;
  }
  const std::vector<double> angles = kinks(w);
  for (std::size_t k = 0; k + 1 < angles.size(); ++k)
  {
    const double middle = (angles[k] + angles[k + 1]) / 2, half = (angles[k + 1] - angles[k]) / 2;
    if (half < 1e-9 || leaves(w, middle))
      continue;
    const GaussRule &rule = gauss_rule(std::min(16, half > 1 ? n_rays : half > 0.4 ? n_rays / 2 : n_rays / 4)); // few steps: few jumps
    for (std::size_t i = 0; i < rule.points.size(); ++i)
      rays.push_back({middle + half * rule.points[i], half * rule.weights[i]});
  }
  return rays;
}

template <bool with_curvature> SurfaceDistance distance_to(const Condyle &c, const RigidPose &femur, const Vector3 &point_mm)
{
  const Vector3 p = femur.turn.transpose() * (point_mm - femur.shift_mm) - c.centre;
  const double q = std::max(1e-9, std::sqrt(p.x() * p.x() + p.z() * p.z()));
  const double rx = p.x() / q, rz = p.z() / q; // radial direction
  SurfaceDistance d;
  if (c.coronal_radius_mm <= 0)
  {
    d.depth_mm = c.sagittal_radius_mm - q;
    d.outward = femur.turn * Vector3(rx, 0, rz);
    if (with_curvature)
    {
      const Vector3 t = femur.turn * Vector3(-rz, 0, rx);
      d.curvature = t * t.transpose() / q;
    }
    return d;
  }
  const double a = q - (c.sagittal_radius_mm - c.coronal_radius_mm), b = p.y();
  const double tube = std::max(1e-9, std::sqrt(a * a + b * b)), along = a / tube, side = b / tube;
  d.depth_mm = c.coronal_radius_mm - tube;
  d.outward = femur.turn * Vector3(along * rx, side, along * rz);
  if (with_curvature)
  {
    const Vector3 across = femur.turn * Vector3(-side * rx, along, -side * rz), t = femur.turn * Vector3(-rz, 0, rx);
    d.curvature = across * across.transpose() / tube + (along / q) * t * t.transpose();
  }
  return d;
}
} // namespace

SurfaceDistance condyle_distance(const Condyle &condyle, const RigidPose &femur, const Vector3 &point_mm)
{
  return distance_to<true>(condyle, femur, point_mm);
}

SurfaceDistance condyle_depth(const Condyle &condyle, const RigidPose &femur, const Vector3 &point_mm)
{
  return distance_to<false>(condyle, femur, point_mm);
}

void add_spring(BedWrench &sum, const Vector3 &x, const SurfaceDistance &at, double force_n, double stiffness)
{
  const Vector3 &m = at.outward;
  Vector6 line;
  line << m, x.cross(m);
  sum.on_tibia += force_n * line;
  // normal m turns with the femur and changes with the place on it: dm = w x m - C (d + w x x)
  Eigen::Matrix<double, 3, 6> turn;
  turn.leftCols<3>() = -at.curvature;
  turn.rightCols<3>() = -cross_matrix(m) + at.curvature * cross_matrix(x);
  sum.slope += stiffness * line * line.transpose();
  sum.slope.topRows<3>() += force_n * turn;
  sum.slope.bottomRows<3>() += force_n * cross_matrix(x) * turn;
}

struct CondyleBed::Deepest
{
  double s = 0, y = 0, depth = 0;
  double slope_s = 0, slope_y = 0, bend_s = 0, bend_y = 0; ///< of the depth, downwards; slopes are 0 away from the edges
  double reach_s = 0, reach_y = 0;                         ///< half axes of the patch of a parabolic gap, inwards at an edge
};

CondyleBed::CondyleBed(const Condyle &condyle, const PlateauSide &plateau, const PlateauFrame &frame, double stiffness,
                       const BedRule &rule)
    : condyle_(condyle), plateau_(plateau), frame_(frame), stiffness_(stiffness), rule_(rule)
{
}

Vector3 CondyleBed::surface_point(double s, double y) const
{
  const double v = y - plateau_.offset_mm;
  const double n = -s * s / (2 * plateau_.sagittal_radius_mm) - v * v * plateau_.coronal_curvature_per_mm / 2;
  return frame_.origin_mm + frame_.axes * Vector3(s, y, n);
}

Vector3 CondyleBed::tangent_s(double s) const { return frame_.axes * Vector3(1, 0, -s / plateau_.sagittal_radius_mm); }

Vector3 CondyleBed::tangent_y(double y) const
{
  return frame_.axes * Vector3(0, 1, -(y - plateau_.offset_mm) * plateau_.coronal_curvature_per_mm);
}

/// Newton on the depth over the plateau, kept inside its rectangle.
CondyleBed::Deepest CondyleBed::deepest(const RigidPose &femur) const
{
  const Vector3 local = frame_.axes.transpose() * (femur.turn * condyle_.centre + femur.shift_mm - frame_.origin_mm);
  const double low_y = plateau_.offset_mm - plateau_.half_width_mm, high_y = plateau_.offset_mm + plateau_.half_width_mm;
  const double end_s = plateau_.half_length_mm;
  Deepest d;
  d.s = std::clamp(local.x() * plateau_.sagittal_radius_mm / (plateau_.sagittal_radius_mm + condyle_.sagittal_radius_mm), -end_s, end_s);
  d.y = std::clamp(local.y(), low_y, high_y);
  double bend_s = 1, bend_y = 1;
  for (int i = 0; i < 12; ++i)
  {
    const SurfaceDistance at = condyle_distance(condyle_, femur, surface_point(d.s, d.y));
    const Vector3 ts = tangent_s(d.s), ty = tangent_y(d.y), normal = frame_.axes.col(2);
    const double gs = at.outward.dot(ts), gy = at.outward.dot(ty), down = at.outward.dot(normal);
    bend_s = ts.dot(at.curvature * ts) - down / plateau_.sagittal_radius_mm;
    bend_y = ty.dot(at.curvature * ty) - down * plateau_.coronal_curvature_per_mm;
    const double twist = ts.dot(at.curvature * ty);
    bend_s = std::max(bend_s, 1e-4);
    bend_y = std::max(bend_y, 1e-4);
    const double det = bend_s * bend_y - twist * twist;
    const bool coupled = det > 0.05 * bend_s * bend_y;
    const double ds = coupled ? -(bend_y * gs - twist * gy) / det : -gs / bend_s;
    const double dy = coupled ? -(bend_s * gy - twist * gs) / det : -gy / bend_y;
    const double s = std::clamp(d.s + std::clamp(ds, -4.0, 4.0), -end_s, end_s);
    const double y = std::clamp(d.y + std::clamp(dy, -4.0, 4.0), low_y, high_y);
    const double moved = std::abs(s - d.s) + std::abs(y - d.y);
    d.s = s;
    d.y = y;
    if (moved < 1e-6)
      break;
  }
  const SurfaceDistance at = condyle_depth(condyle_, femur, surface_point(d.s, d.y));
  d.depth = at.depth_mm;
  d.slope_s = std::abs(at.outward.dot(tangent_s(d.s))); // at an edge the depth falls inwards
  d.slope_y = std::abs(at.outward.dot(tangent_y(d.y)));
  d.bend_s = bend_s;
  d.bend_y = bend_y;
  return d;
}

/// The patch that lies deeper than `level_mm`.
void CondyleBed::set_reach(Deepest &d, double level_mm) const
{
  const double depth = d.depth - level_mm;
  const auto reach = [depth](double slope, double bend) { return 2 * depth / (slope + std::sqrt(slope * slope + 2 * bend * depth)); };
  d.reach_s = std::min(2 * plateau_.half_length_mm, reach(d.slope_s, d.bend_s));
  d.reach_y = std::min(2 * plateau_.half_width_mm, reach(d.slope_y, d.bend_y));
}

/// Middle of the polar rule: pulled in from an edge, so that no rays end in slivers.
CondyleBed::Deepest CondyleBed::away_from_edges(const RigidPose &femur, const Deepest &d, double level_mm) const
{
  const auto inside = [](double at, double half, double reach)
  {
    const double free = std::max(0.0, half - 0.3 * reach);
    return std::clamp(at, -free, free);
  };
  Deepest m = d;
  m.s = inside(d.s, plateau_.half_length_mm, d.reach_s);
  m.y = plateau_.offset_mm + inside(d.y - plateau_.offset_mm, plateau_.half_width_mm, d.reach_y);
  m.depth = condyle_depth(condyle_, femur, surface_point(m.s, m.y)).depth_mm;
  return m.depth - level_mm > 0.2 * (d.depth - level_mm) ? m : d;
}

/// How far along a ray (in units of its vector) a depth above `level_mm` reaches.
double CondyleBed::rim(const RigidPose &femur, const Deepest &d, double level_mm, double along_s, double along_y) const
{
  double edge = 4;
  const auto limit = [&edge](double from, double step, double low, double high)
  {
    if (step > 1e-12)
      edge = std::min(edge, (high - from) / step);
    else if (step < -1e-12)
      edge = std::min(edge, (low - from) / step);
  };
  limit(d.s, along_s, -plateau_.half_length_mm, plateau_.half_length_mm);
  limit(d.y, along_y, plateau_.offset_mm - plateau_.half_width_mm, plateau_.offset_mm + plateau_.half_width_mm);
  if (edge <= 0)
    return 0;
  double r = std::min(1.0, edge);
  for (int i = 0; i < 20; ++i)
  {
    const double s = d.s + r * along_s, y = d.y + r * along_y;
    const SurfaceDistance at = condyle_depth(condyle_, femur, surface_point(s, y));
    const double depth = at.depth_mm - level_mm;
    if (depth > 0 && r >= edge)
      return edge;
    const double slope = at.outward.dot(along_s * tangent_s(s) + along_y * tangent_y(y));
    const bool rising = slope <= 1e-12; // still on the way up: the start was not the very deepest point
    const double step = rising ? (depth > 0 ? r : -0.5 * r) : depth / slope;
    const double next = std::clamp(r + step, 0.3 * r, std::min(edge, 2.5 * r));
    const bool settled = std::abs(next - r) < 1e-6;
    r = next;
    if (settled)
      break;
  }
  return r;
}

/// Calls visit(place, its area) on the points of a quadrature of the patch that lies deeper than `level_mm`.
template <class Visit>
void CondyleBed::over_patch(const RigidPose &femur, Deepest d, double level_mm, const Visit &visit) const
{
  set_reach(d, level_mm);
  d = away_from_edges(femur, d, level_mm);
  const GaussRule &radial = gauss_rule(rule_.rings);
  const double end_s = plateau_.half_length_mm, from_middle = d.y - plateau_.offset_mm, end_y = plateau_.half_width_mm;
  const Window window{(-end_s - d.s) / d.reach_s, (end_s - d.s) / d.reach_s, (-end_y - from_middle) / d.reach_y,
                      (end_y - from_middle) / d.reach_y};
  for (const Ray &ray : rays_of(window, rule_.rays))
  {
    const double along_s = d.reach_s * std::cos(ray.angle), along_y = d.reach_y * std::sin(ray.angle);
    const double length = rim(femur, d, level_mm, along_s, along_y);
    for (int i = 0; i < rule_.rings; ++i)
    {
      const double r = 0.5 * length * (1 + radial.points[i]);
      const double s = d.s + r * along_s, y = d.y + r * along_y;
      visit(surface_point(s, y), 0.5 * length * radial.weights[i] * r * ray.weight * d.reach_s * d.reach_y *
                                     tangent_s(s).cross(tangent_y(y)).norm());
    }
  }
}

double CondyleBed::interpenetration_mm(const RigidPose &femur) const { return std::max(0.0, deepest(femur).depth); }

BedWrench CondyleBed::wrench(const RigidPose &femur) const
{
  BedWrench sum;
  const Deepest d = deepest(femur);
  if (!(d.depth > 0))
    return sum;
  over_patch(femur, d, 0,
             [&](const Vector3 &x, double area)
             {
               const SurfaceDistance at = condyle_distance(condyle_, femur, x);
               const double pressure = stiffness_ * at.depth_mm;
               add_spring(sum, x, at, pressure * area, stiffness_ * area);
               sum.load_n += pressure * area;
               sum.area_mm2 += area;
               sum.centre_mm += pressure * area * x;
             });
  sum.peak_mpa = stiffness_ * d.depth;
  if (sum.peak_mpa > high_pressure_mpa)
    over_patch(femur, d, high_pressure_mpa / stiffness_, [&](const Vector3 &, double area) { sum.area_above_mm2 += area; });
  if (sum.load_n > 0)
    sum.centre_mm /= sum.load_n;
  return sum;
}
} // namespace stifle
