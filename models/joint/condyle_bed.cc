#include "models/joint/condyle_bed.h"
#include "models/joint/gauss_legendre.h"
#include "models/joint/spring_sums.h"

namespace stifle
{
namespace
{
using Numbers = SpringLanes;

class RayList
{
public:
  void add(double angle, double weight)
  {
    if (filled_ == springs_at_once)
    {
      groups.push_back({Numbers(std::cos(angle)), Numbers(std::sin(angle)), Numbers(0.0)});
      filled_ = 0;
    }
    groups.back().cosine(filled_) = std::cos(angle);
    groups.back().sine(filled_) = std::sin(angle);
    groups.back().weight(filled_++) = weight;
  }
  std::vector<CondyleBed::Rays> groups;

private:
  int filled_ = springs_at_once;
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

/// Exact for smooth rims.
std::vector<CondyleBed::Rays> even_rays(int n_rays)
{
  RayList rays;
  for (int i = 0; i < n_rays; ++i)
    rays.add(2 * pi * (i + 0.5) / n_rays, 2 * pi / n_rays);
  return rays.groups;
}

bool lies_inside(const Window &w)
{
  const bool finite = std::isfinite(w.low_x + w.high_x + w.low_y + w.high_y);
  return !finite || std::min({-w.low_x, w.high_x, -w.low_y, w.high_y}) > 1.3;
}

/// Gauss points between the kinks.
std::vector<CondyleBed::Rays> rays_between_kinks(const Window &w, int n_rays)
{
  RayList rays;
  const std::vector<double> angles = kinks(w);
  for (std::size_t k = 0; k + 1 < angles.size(); ++k)
  {
    const double middle = (angles[k] + angles[k + 1]) / 2, half = (angles[k + 1] - angles[k]) / 2;
    if (half < 1e-9 || leaves(w, middle))
      continue;
    const GaussRule &rule = gauss_rule(std::min(16, half > 1 ? n_rays : half > 0.4 ? n_rays / 2 : n_rays / 4)); // few steps: few jumps
    for (std::size_t i = 0; i < rule.points.size(); ++i)
      rays.add(middle + half * rule.points[i], half * rule.weights[i]);
  }
  return rays.groups;
}
} // namespace

SurfaceDistance condyle_distance(const Condyle &condyle, const RigidPose &femur, const Vector3 &point_mm)
{
  const Vector3 p = femur.turn.transpose() * (point_mm - femur.shift_mm) - condyle.centre;
  SurfaceAt<double> at;
  meet_condyle<true>(condyle, {p.x(), p.y(), p.z()}, at);
  const Eigen::Map<const Vector3> outward(at.outward);
  const Eigen::Map<const Matrix3> curvature(at.curvature[0]);
  return {at.depth_mm, femur.turn * outward, femur.turn * curvature * femur.turn.transpose()};
}

/// The plateau as the condyle sees it: origin at its centre, axes of the femur.
struct CondyleBed::View
{
  Vector3 origin;
  Matrix3 axes;
  double offset, bend_s, bend_y;

  /// Surface at chord coordinates (s, y), of numbers or lanes.
  template <class T> void place(const T &s, const T &y, T (&p)[3]) const
  {
    const T v = y - offset, n = -0.5 * (bend_s * s * s + bend_y * v * v);
    for (int i = 0; i < 3; ++i)
      p[i] = origin[i] + axes(i, 0) * s + axes(i, 1) * y + axes(i, 2) * n;
  }
  /// Part of `m` along the surface in the direction (along_s, along_y).
  template <class T> T along(const T (&m)[3], const T &s, const T &y, const T &along_s, const T &along_y) const
  {
    const T rise = -(along_s * bend_s * s + along_y * bend_y * (y - offset));
    T sum = m[0] * (axes(0, 0) * along_s + axes(0, 1) * along_y + axes(0, 2) * rise);
    for (int i = 1; i < 3; ++i)
      sum += m[i] * (axes(i, 0) * along_s + axes(i, 1) * along_y + axes(i, 2) * rise);
    return sum;
  }
  /// Of the surface, to its part of the chord plane.
  template <class T> T area_ratio(const T &s, const T &y) const
  {
    using std::sqrt;
    const T fall_s = bend_s * s, fall_y = bend_y * (y - offset);
    return sqrt(1 + fall_s * fall_s + fall_y * fall_y);
  }
  Vector3 tangent_s(double s) const { return axes.col(0) - bend_s * s * axes.col(2); }
  Vector3 tangent_y(double y) const { return axes.col(1) - bend_y * (y - offset) * axes.col(2); }
};

struct CondyleBed::Deepest
{
  double s = 0, y = 0, depth = 0;
  double slope_s = 0, slope_y = 0, bend_s = 0, bend_y = 0; ///< of the depth, downwards; slopes are 0 away from the edges
  double reach_s = 0, reach_y = 0;                         ///< half axes of the patch of a parabolic gap, inwards at an edge
};

CondyleBed::CondyleBed(const Condyle &condyle, const PlateauSide &plateau, const PlateauFrame &frame, double stiffness,
                       const BedRule &rule)
    : condyle_(condyle), plateau_(plateau), frame_(frame), stiffness_(stiffness), rule_(rule), even_rays_(even_rays(rule.rays))
{
}

Vector3 CondyleBed::surface_point(double s, double y) const
{
  const double v = y - plateau_.offset_mm;
  const double n = -s * s / (2 * plateau_.sagittal_radius_mm) - v * v * plateau_.coronal_curvature_per_mm / 2;
  return frame_.origin_mm + frame_.axes * Vector3(s, y, n);
}

CondyleBed::View CondyleBed::seen_from(const RigidPose &femur) const
{
  const Matrix3 back = femur.turn.transpose();
  return {back * (frame_.origin_mm - femur.shift_mm) - condyle_.centre, back * frame_.axes, plateau_.offset_mm,
          1 / plateau_.sagittal_radius_mm, plateau_.coronal_curvature_per_mm};
}

/// Newton on the depth over the plateau, kept inside its rectangle.
CondyleBed::Deepest CondyleBed::deepest(const View &view) const
{
  const Vector3 local = -view.axes.transpose() * view.origin; // centre of the condyle, chord frame
  const double low_y = plateau_.offset_mm - plateau_.half_width_mm, high_y = plateau_.offset_mm + plateau_.half_width_mm;
  const double end_s = plateau_.half_length_mm;
  Deepest d;
  d.s = std::clamp(local.x() * plateau_.sagittal_radius_mm / (plateau_.sagittal_radius_mm + condyle_.sagittal_radius_mm), -end_s, end_s);
  d.y = std::clamp(local.y(), low_y, high_y);
  double bend_s = 1, bend_y = 1, p[3];
  SurfaceAt<double> at;
  const Eigen::Map<const Vector3> outward(at.outward);
  const Eigen::Map<const Matrix3> curvature(at.curvature[0]);
  for (int i = 0; i < 12; ++i)
  {
    view.place(d.s, d.y, p);
    meet_condyle<true>(condyle_, p, at);
    const Vector3 ts = view.tangent_s(d.s), ty = view.tangent_y(d.y);
    const double gs = outward.dot(ts), gy = outward.dot(ty), down = outward.dot(view.axes.col(2));
    bend_s = ts.dot(curvature * ts) - down * view.bend_s;
    bend_y = ty.dot(curvature * ty) - down * view.bend_y;
    const double twist = ts.dot(curvature * ty);
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
  view.place(d.s, d.y, p);
  meet_condyle<false>(condyle_, p, at);
  d.depth = at.depth_mm;
  d.slope_s = std::abs(outward.dot(view.tangent_s(d.s))); // at an edge the depth falls inwards
  d.slope_y = std::abs(outward.dot(view.tangent_y(d.y)));
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
CondyleBed::Deepest CondyleBed::away_from_edges(const View &view, const Deepest &d, double level_mm) const
{
  const auto inside = [](double at, double half, double reach)
  {
    const double free = std::max(0.0, half - 0.3 * reach);
    return std::clamp(at, -free, free);
  };
  Deepest m = d;
  m.s = inside(d.s, plateau_.half_length_mm, d.reach_s);
  m.y = plateau_.offset_mm + inside(d.y - plateau_.offset_mm, plateau_.half_width_mm, d.reach_y);
  double p[3];
  SurfaceAt<double> at;
  view.place(m.s, m.y, p);
  meet_condyle<false>(condyle_, p, at);
  m.depth = at.depth_mm;
  return m.depth - level_mm > 0.2 * (d.depth - level_mm) ? m : d;
}

/// How far along a ray (in units of its vector) the plateau reaches; at most 4.
double CondyleBed::way_to_edge(const Deepest &d, double along_s, double along_y) const
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
  return std::max(0.0, edge);
}

/// How far along rays (in units of their vectors) a depth above `level_mm` reaches: Newton, kept on the plateau.
Numbers CondyleBed::rim(const View &view, const Deepest &d, double level_mm, const Numbers &along_s, const Numbers &along_y) const
{
  Numbers edge, p[3];
  for (int i = 0; i < springs_at_once; ++i)
    edge(i) = way_to_edge(d, along_s(i), along_y(i));
  Numbers r = edge.min(1.0);
  std::array<bool, springs_at_once> settled;
  for (int i = 0; i < springs_at_once; ++i)
    settled[i] = edge(i) <= 0;
  SurfaceAt<Numbers> at;
  for (int step = 0; step < 20; ++step)
  {
    const Numbers s = d.s + r * along_s, y = d.y + r * along_y;
    view.place(s, y, p);
    meet_condyle<false>(condyle_, p, at);
    const Numbers depth = at.depth_mm - level_mm, slope = view.along(at.outward, s, y, along_s, along_y);
    Numbers move = depth / slope.max(1e-12);
    if ((slope <= 1e-12).any()) // still on the way up: the start was not the very deepest point
      for (int i = 0; i < springs_at_once; ++i)
        if (slope(i) <= 1e-12)
          move(i) = depth(i) > 0 ? r(i) : -0.5 * r(i);
    const Numbers next = (r + move).max(0.3 * r).min(edge.min(2.5 * r));
    bool all = true;
    for (int i = 0; i < springs_at_once; ++i)
    {
      const double moved = settled[i] ? 0 : next(i) - r(i);
      r(i) = settled[i] ? r(i) : next(i);
      settled[i] = std::abs(moved) < 1e-6;
      all = all && settled[i];
    }
    if (all)
      break;
  }
  return r;
}

/// Calls visit(s, y, area) on the points of a quadrature of the patch that lies deeper than `level_mm`, several at once.
template <class Visit> void CondyleBed::over_patch(const View &view, Deepest d, double level_mm, const Visit &visit) const
{
  set_reach(d, level_mm);
  d = away_from_edges(view, d, level_mm);
  const GaussRule &radial = gauss_rule(rule_.rings);
  const double end_s = plateau_.half_length_mm, from_middle = d.y - plateau_.offset_mm, end_y = plateau_.half_width_mm;
  const Window window{(-end_s - d.s) / d.reach_s, (end_s - d.s) / d.reach_s, (-end_y - from_middle) / d.reach_y,
                      (end_y - from_middle) / d.reach_y};
  const bool inside = lies_inside(window);
  const std::vector<Rays> cut = inside ? std::vector<Rays>() : rays_between_kinks(window, rule_.rays);
  for (const Rays &rays : inside ? even_rays_ : cut)
  {
    const Numbers along_s = d.reach_s * rays.cosine, along_y = d.reach_y * rays.sine;
    const Numbers half = 0.5 * rim(view, d, level_mm, along_s, along_y), weight = half * rays.weight * (d.reach_s * d.reach_y);
    for (int i = 0; i < rule_.rings; ++i)
    {
      const Numbers r = half * (1 + radial.points[i]), s = d.s + r * along_s, y = d.y + r * along_y;
      visit(s, y, Numbers(radial.weights[i] * r * weight * view.area_ratio(s, y)));
    }
  }
}

double CondyleBed::interpenetration_mm(const RigidPose &femur) const { return std::max(0.0, deepest(seen_from(femur)).depth); }

BedWrench CondyleBed::wrench(const RigidPose &femur) const
{
  BedWrench result;
  const View view = seen_from(femur);
  const Deepest d = deepest(view);
  if (!(d.depth > 0))
    return result;
  SpringSums<Numbers> sums;
  Numbers load(0.0), area_sum(0.0), moment[3] = {load, load, load}, p[3];
  SurfaceAt<Numbers> at;
  const auto press = [&](const Numbers &s, const Numbers &y, const Numbers &area)
  {
    view.place(s, y, p);
    meet_condyle<true>(condyle_, p, at);
    const Numbers stiffness = stiffness_ * area, force = stiffness * at.depth_mm;
    sums.add(p, at, force, stiffness);
    load += force;
    area_sum += area;
    for (int i = 0; i < 3; ++i)
      moment[i] += force * p[i];
  };
  over_patch(view, d, 0, press);
  result.on_tibia = sums.wrench();
  result.slope = sums.slope();
  result.load_n = load.sum();
  result.area_mm2 = area_sum.sum();
  if (result.load_n > 0)
    result.centre_mm = Vector3(moment[0].sum(), moment[1].sum(), moment[2].sum()) / result.load_n;
  result.peak_mpa = stiffness_ * d.depth;
  if (result.peak_mpa > high_pressure_mpa)
    over_patch(view, d, high_pressure_mpa / stiffness_,
               [&](const Numbers &, const Numbers &, const Numbers &area) { result.area_above_mm2 += area.sum(); });
  return carried(result, {femur.turn, femur.turn * condyle_.centre + femur.shift_mm});
}
} // namespace stifle
