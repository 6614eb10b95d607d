#include "models/joint/meniscus_rim.h"

namespace stifle
{
namespace
{
constexpr double toe_mm = 0.1;            ///< rounds the first touch of a cell (assumption)
constexpr double hoop_left = 0.3;         ///< of the hoop stiffness after loss of the caudal pole (assumption)
constexpr double pole_angle_deg = 120;    ///< from the cranial direction: what counts as caudal pole
constexpr double highest_rim_mm = 12;

struct Spring
{
  double force = 0, stiffness = 0;
};
Spring cell_spring(double depth, double stiffness)
{
  if (!(depth > 0))
    return {};
  if (depth < toe_mm)
    return {stiffness * depth * depth / (2 * toe_mm), stiffness * depth / toe_mm};
  return {stiffness * (depth - toe_mm / 2), stiffness};
}

constexpr double loose_part = 0.05;       ///< of the horn stiffness before the horns tighten (assumption)
constexpr double horn_toe_mm = 1;         ///< over which they tighten (assumption)
Spring horn_spring(double slide, double stiffness, double free_slide)
{
  const double excess = std::abs(slide) - free_slide, sign = slide < 0 ? -1 : 1;
  Spring s{loose_part * stiffness * slide, loose_part * stiffness};
  if (excess <= 0)
    return s;
  const bool toe = excess < horn_toe_mm;
  s.force += sign * stiffness * (toe ? excess * excess / (2 * horn_toe_mm) : excess - horn_toe_mm / 2);
  s.stiffness += stiffness * (toe ? excess / horn_toe_mm : 1);
  return s;
}

using FemurDistance = std::function<SurfaceDistance(const Vector3 &)>;

/// Height over the plateau at which the femur is touched; `highest_rim_mm` or more: out of reach.
double touching_height(const FemurDistance &femur, const Vector3 &base, const Vector3 &up)
{
  double height = 0;
  for (int i = 0; i < 40; ++i)
  {
    const SurfaceDistance at = femur(base + height * up);
    const double closing = -at.outward.dot(up); // depth gained per height
    if (closing < 0.02)
      return highest_rim_mm + 1;
    const double step = -at.depth_mm / closing;
    height = std::max(0.0, height + step);
    if (std::abs(step) < 1e-12 || height > highest_rim_mm || (height == 0 && step < 0))
      break;
  }
  return height;
}

} // namespace

SurfaceDistance grid_distance(const DistanceGrid &surface, const RigidPose &femur, const Vector3 &point)
{
  const Matrix3 &turn = femur.turn;
  const auto sample = surface.sample(turn.transpose() * (point - femur.shift_mm));
  if (!sample)
    return {-(DistanceGrid::reach_cells - 3) * surface.cell_mm(), (femur.shift_mm - point).normalized() * -1, Matrix3::Zero()};
  return {-sample->distance_mm, turn * sample->gradient, turn * sample->curvature * turn.transpose()};
}

std::vector<RimPlace> rim_places(const Meniscus &m, const PlateauFrame &frame,
                                 const std::function<std::optional<Vector3>(double, double)> &base, const FemurDistance &femur,
                                 int cells)
{
  std::vector<RimPlace> places;
  const double outside = m.centre_y_mm > 0 ? 1 : -1; // away from the intercondylar space
  const double span = 2 * pi - radians(m.opening_deg), part = span / cells;
  for (int i = 0; i < cells; ++i)
  {
    const double angle = -span / 2 + (i + 0.5) * part;
    const Vector3 offset(m.radius_s_mm * std::sin(angle), m.radius_y_mm * outside * std::cos(angle), 0);
    const auto below = base(m.centre_s_mm + offset.x(), m.centre_y_mm + offset.y());
    if (!below)
      continue;
    const double height = touching_height(femur, *below, frame.axes.col(2));
    if (height > highest_rim_mm)
      continue;
    const Vector3 point = *below + height * frame.axes.col(2);
    places.push_back({angle, part, frame.axes * offset, point, femur(point).outward});
  }
  return places;
}

MeniscusRim::MeniscusRim(const Meniscus &m, const Condyle &condyle, const CondyleBed &bed, const PlateauFrame &frame,
                         const RigidPose &reference)
    : condyle_(condyle), chord_(frame.axes.col(0)), horn_stiffness_(m.horn_stiffness_n_per_mm), free_slide_(m.free_slide_mm)
{
  if (!m.removed)
    add_cells(m, rim_places(
                     m, frame, [&](double s, double y) { return std::optional(bed.surface_point(s, y)); },
                     [&](const Vector3 &point) { return condyle_distance(condyle, reference, point); },
                     bed.rule().rim_cells));
}

MeniscusRim::MeniscusRim(const Meniscus &m, std::shared_ptr<const DistanceGrid> femur, const std::vector<RimPlace> &places,
                         const Vector3 &chord, const RigidPose &segment)
    : grid_(std::move(femur)), segment_(segment), chord_(chord), horn_stiffness_(m.horn_stiffness_n_per_mm),
      free_slide_(m.free_slide_mm)
{
  if (!m.removed)
    add_cells(m, places);
}

void MeniscusRim::add_cells(const Meniscus &m, const std::vector<RimPlace> &places)
{
  const double hoop = m.hoop_modulus_mpa * m.section_mm2 * (m.caudal_pole_removed ? hoop_left : 1.0);
  for (const RimPlace &place : places)
  {
    if (m.caudal_pole_removed && std::sin(place.angle_rad) < std::cos(radians(pole_angle_deg)))
      continue;
    const double radius = place.offset_mm.norm(), out = place.outward.dot(place.offset_mm) / radius;
    const double area = radius * place.part_rad * m.width_mm;
    const double axial = m.axial_modulus_mpa * area / m.thickness_mm, escape = hoop * place.part_rad / radius;
    cells_.push_back({place.point_mm, 1 / (1 / axial + out * out / escape), area});
  }
}

RigidPose MeniscusRim::in_segment(const RigidPose &femur) const
{
  const Matrix3 back = segment_.turn.transpose();
  return {back * femur.turn, back * (femur.shift_mm - segment_.shift_mm)};
}

double MeniscusRim::slide_mm(const RigidPose &femur) const { return slide_there(grid_ ? in_segment(femur) : femur); }

BedWrench MeniscusRim::wrench(const RigidPose &femur) const
{
  return grid_ ? carried(wrench_there(in_segment(femur)), segment_) : wrench_there(femur);
}

double MeniscusRim::slide_there(const RigidPose &femur) const
{
  double slide = 0;
  for (int i = 0; i < 40; ++i)
  {
    const Spring horn = horn_spring(slide, horn_stiffness_, free_slide_);
    double pull = horn.force, bend = horn.stiffness;
    for (const Cell &cell : cells_)
    {
      const SurfaceDistance at = distance(femur, cell.point_mm + slide * chord_);
      const Spring s = cell_spring(at.depth_mm, cell.stiffness);
      const double along = at.outward.dot(chord_);
      pull -= s.force * along;
      bend += s.stiffness * along * along - s.force * chord_.dot(at.curvature * chord_);
    }
    const double step = std::min(1.0, std::max(-1.0, -pull / std::max(bend, 0.2 * horn.stiffness)));
    slide += step;
    if (std::abs(step) < 1e-13)
      break;
  }
  return slide;
}

BedWrench MeniscusRim::wrench_there(const RigidPose &femur) const
{
  BedWrench sum;
  if (cells_.empty())
    return sum;
  const double slide = slide_there(femur);
  double bend = horn_spring(slide, horn_stiffness_, free_slide_).stiffness;
  Vector6 by_slide = Vector6::Zero(), row = Vector6::Zero(); // d wrench / d slide; d (equation of the slide) / d motion
  for (const Cell &cell : cells_)
  {
    const Vector3 x = cell.point_mm + slide * chord_;
    const SurfaceDistance at = distance(femur, x);
    const Spring s = cell_spring(at.depth_mm, cell.stiffness);
    if (!(s.force > 0))
      continue;
    add_spring(sum, x, at, s.force, s.stiffness);
    const Vector3 &m = at.outward, bent = at.curvature * chord_;
    const double along = m.dot(chord_);
    Vector6 line, turned;
    line << m, x.cross(m);
    turned << -bent, m.cross(chord_) - x.cross(bent);
    row -= s.stiffness * along * line + s.force * turned;
    Vector6 moved;
    moved << bent, Vector3(chord_.cross(m) + x.cross(bent));
    by_slide += -s.stiffness * along * line + s.force * moved;
    bend += s.stiffness * along * along - s.force * chord_.dot(bent);
    sum.load_n += s.force;
    sum.area_mm2 += cell.area_mm2;
    sum.peak_mpa = std::max(sum.peak_mpa, s.force / cell.area_mm2);
    sum.area_above_mm2 += s.force / cell.area_mm2 > high_pressure_mpa ? cell.area_mm2 : 0;
    sum.centre_mm += s.force * x;
  }
  if (sum.load_n > 0)
  {
    sum.centre_mm /= sum.load_n;
    sum.slope -= by_slide * row.transpose() / bend;
  }
  return sum;
}
} // namespace stifle
