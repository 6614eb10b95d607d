#include "models/joint/condyle_bed.h"
#include "models/joint/gauss_legendre.h"
#include <algorithm>

namespace stifle
{
namespace
{
Matrix3 cross_matrix(const Vector3 &a)
{
  Matrix3 m;
  m << 0, -a.z(), a.y(), a.z(), 0, -a.x(), -a.y(), a.x(), 0;
  return m;
}
} // namespace

namespace
{
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
  double reach_s = 0, reach_y = 0; ///< half axes of the patch of a parabolic gap
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
  d.depth = condyle_depth(condyle_, femur, surface_point(d.s, d.y)).depth_mm;
  if (d.depth > 0)
  {
    d.reach_s = std::min(2 * end_s, std::sqrt(2 * d.depth / bend_s));
    d.reach_y = std::min(2 * plateau_.half_width_mm, std::sqrt(2 * d.depth / bend_y));
  }
  return d;
}

/// How far along a ray (in units of its vector) contact reaches.
double CondyleBed::rim(const RigidPose &femur, const Deepest &d, double along_s, double along_y) const
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
  for (int i = 0; i < 6; ++i)
  {
    const double s = d.s + r * along_s, y = d.y + r * along_y;
    const SurfaceDistance at = condyle_depth(condyle_, femur, surface_point(s, y));
    const double slope = at.outward.dot(along_s * tangent_s(s) + along_y * tangent_y(y));
    if (at.depth_mm > 0 && (r >= edge || slope <= 1e-12))
      return slope <= 1e-12 ? edge : r;
    const double next = std::clamp(r + at.depth_mm / std::max(slope, 1e-12), 0.3 * r, std::min(edge, 2.5 * r));
    const bool settled = std::abs(next - r) < 1e-6;
    r = next;
    if (settled)
      break;
  }
  return r;
}

BedWrench CondyleBed::wrench(const RigidPose &femur) const
{
  BedWrench sum;
  const Deepest d = deepest(femur);
  if (!(d.depth > 0))
    return sum;
  const GaussRule &radial = gauss_rule(rule_.rings);
  for (int ray = 0; ray < rule_.rays; ++ray)
  {
    const double angle = 2 * pi * (ray + 0.5) / rule_.rays;
    const double along_s = d.reach_s * std::cos(angle), along_y = d.reach_y * std::sin(angle);
    const double length = rim(femur, d, along_s, along_y);
    for (int i = 0; i < rule_.rings; ++i)
    {
      const double r = 0.5 * length * (1 + radial.points[i]);
      const double s = d.s + r * along_s, y = d.y + r * along_y;
      const Vector3 x = surface_point(s, y);
      const SurfaceDistance at = condyle_distance(condyle_, femur, x);
      const double area = 0.5 * length * radial.weights[i] * r * (2 * pi / rule_.rays) * d.reach_s * d.reach_y *
                          tangent_s(s).cross(tangent_y(y)).norm();
      const double pressure = stiffness_ * at.depth_mm;
      add_spring(sum, x, at, pressure * area, stiffness_ * area);
      sum.load_n += pressure * area;
      sum.area_mm2 += area;
      sum.area_above_mm2 += pressure > high_pressure_mpa ? area : 0;
      sum.centre_mm += pressure * area * x;
    }
  }
  sum.peak_mpa = stiffness_ * d.depth;
  if (sum.load_n > 0)
    sum.centre_mm /= sum.load_n;
  return sum;
}
} // namespace stifle
