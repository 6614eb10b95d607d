#include "models/joint/meniscus_rim.h"
#include "models/joint/spring_sums.h"

namespace stifle
{
namespace
{
constexpr double toe_mm = 0.1;            ///< rounds the first touch of a cell (assumption)
constexpr double hoop_left = 0.3;         ///< of the hoop stiffness after loss of the caudal pole (assumption)
constexpr double pole_angle_deg = 120;    ///< from the cranial direction: what counts as caudal pole
constexpr double highest_rim_mm = 12;

using Numbers = SpringLanes;

Numbers dot(const Numbers (&a)[3], const Vector3 &b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }

struct CellSprings
{
  Numbers force, stiffness;
};
CellSprings cell_springs(const Numbers &depth, const Numbers &stiffness)
{
  const Numbers pressed = depth.max(0.0), in_toe = pressed.min(toe_mm);
  return {stiffness * (in_toe * in_toe / (2 * toe_mm) + (pressed - in_toe)), stiffness * (in_toe / toe_mm)};
}

struct Spring
{
  double force = 0, stiffness = 0;
};
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
    add_cell({place.point_mm, 1 / (1 / axial + out * out / escape), area});
  }
}

void MeniscusRim::add_cell(const Cell &cell)
{
  const int lane = int(cells_.size()) % springs_at_once;
  const Vector3 &p = cell.point_mm;
  cells_.push_back(cell);
  if (lane == 0)
    lanes_.push_back({{Numbers(p.x()), Numbers(p.y()), Numbers(p.z())}, Numbers(0.0), Numbers(1.0)});
  CellLanes &last = lanes_.back();
  for (int i = 0; i < 3; ++i)
    last.point[i](lane) = p[i];
  last.stiffness(lane) = cell.stiffness;
  last.area(lane) = cell.area_mm2;
}

/// The cells of the rim at rest as the femoral surface sees them.
struct MeniscusRim::Seen
{
  struct Cells
  {
    Numbers point[3];
  };
  std::vector<Cells> cells;
  Vector3 chord;

  Cells slid(std::size_t i, double slide) const
  {
    Cells c;
    for (int k = 0; k < 3; ++k)
      c.point[k] = cells[i].point[k] + slide * chord[k];
    return c;
  }
};

MeniscusRim::Seen MeniscusRim::seen_from(const RigidPose &femur) const
{
  const Matrix3 back = femur.turn.transpose(), turn = back * segment_.turn;
  const Vector3 shift = back * (segment_.shift_mm - femur.shift_mm) - condyle_.centre;
  Seen seen{std::vector<Seen::Cells>(lanes_.size()), turn * chord_};
  for (std::size_t i = 0; i < lanes_.size(); ++i)
    for (int k = 0; k < 3; ++k)
      seen.cells[i].point[k] = shift[k] + dot(lanes_[i].point, turn.row(k).transpose());
  return seen;
}

SurfaceAt<Numbers> MeniscusRim::meet(const Numbers (&point)[3], const Numbers &stiffness) const
{
  SurfaceAt<Numbers> at;
  if (!grid_)
  {
    meet_condyle<true>(condyle_, point, at);
    return at;
  }
  for (int lane = 0; lane < springs_at_once; ++lane)
  {
    SurfaceDistance one; // where no cell is
    if (stiffness(lane) > 0)
      one = grid_distance(*grid_, {}, Vector3(point[0](lane), point[1](lane), point[2](lane)));
    at.depth_mm(lane) = one.depth_mm;
    for (int i = 0; i < 3; ++i)
    {
      at.outward[i](lane) = one.outward[i];
      for (int j = 0; j < 3; ++j)
        at.curvature[i][j](lane) = one.curvature(i, j);
    }
  }
  return at;
}

double MeniscusRim::slide_mm(const RigidPose &femur) const { return slide_there(seen_from(femur)); }

double MeniscusRim::slide_there(const Seen &seen) const
{
  double slide = 0;
  for (int i = 0; i < 40; ++i)
  {
    const Spring horn = horn_spring(slide, horn_stiffness_, free_slide_);
    Numbers pull(0.0), bend(0.0); // of the cells
    for (std::size_t k = 0; k < lanes_.size(); ++k)
    {
      const Numbers &stiffness = lanes_[k].stiffness;
      const SurfaceAt<Numbers> at = meet(seen.slid(k, slide).point, stiffness);
      const CellSprings s = cell_springs(at.depth_mm, stiffness);
      const Numbers along = dot(at.outward, seen.chord);
      Numbers bent = dot(at.curvature[0], seen.chord) * seen.chord[0];
      for (int j = 1; j < 3; ++j)
        bent += dot(at.curvature[j], seen.chord) * seen.chord[j];
      pull += s.force * along;
      bend += s.stiffness * along * along - s.force * bent;
    }
    const double left = horn.force - pull.sum(), slope = horn.stiffness + bend.sum();
    const double step = std::min(1.0, std::max(-1.0, -left / std::max(slope, 0.2 * horn.stiffness)));
    slide += step;
    if (std::abs(step) < 1e-13)
      break;
  }
  return slide;
}

BedWrench MeniscusRim::wrench(const RigidPose &femur) const
{
  BedWrench result;
  if (cells_.empty())
    return result;
  const Seen seen = seen_from(femur);
  const double slide = slide_there(seen);
  SpringSums<Numbers> sums;
  Numbers load(0.0), area(0.0), high(0.0), peak(0.0), bend(0.0), moment[3] = {load, load, load};
  Numbers by_slide[6] = {load, load, load, load, load, load}; // d wrench / d slide = d (equation of the slide) / d motion
  for (std::size_t k = 0; k < lanes_.size(); ++k)
  {
    const CellLanes &cells = lanes_[k];
    const Seen::Cells here = seen.slid(k, slide);
    const auto &q = here.point;
    const SurfaceAt<Numbers> at = meet(q, cells.stiffness);
    const CellSprings s = cell_springs(at.depth_mm, cells.stiffness);
    if (!(s.force > 0).any())
      continue;
    sums.add(q, at, s.force, s.stiffness);
    const Numbers(&m)[3] = at.outward;
    const auto &c = at.curvature;
    const Numbers bent[3] = {dot(c[0], seen.chord), dot(c[1], seen.chord), dot(c[2], seen.chord)};
    const Numbers along = dot(m, seen.chord), push = s.stiffness * along;
    bend += push * along - s.force * dot(bent, seen.chord);
    Numbers pull[3]; // change of the force; beside its moment, the normal turns over the point itself
    for (int i = 0; i < 3; ++i)
    {
      pull[i] = s.force * bent[i] - push * m[i];
      by_slide[i] += pull[i];
    }
    for (int i = 0; i < 3; ++i)
    {
      const int j = (i + 1) % 3, l = (i + 2) % 3;
      by_slide[3 + i] += q[j] * pull[l] - q[l] * pull[j] + s.force * (seen.chord[j] * m[l] - seen.chord[l] * m[j]);
      moment[i] += s.force * q[i];
    }
    const Numbers pressure = s.force / cells.area;
    load += s.force;
    area += (s.force > 0).select(cells.area, 0.0);
    high += (pressure > high_pressure_mpa).select(cells.area, 0.0);
    peak = peak.max(pressure);
  }
  result.load_n = load.sum();
  if (!(result.load_n > 0))
    return result;
  result.on_tibia = sums.wrench();
  Vector6 slid;
  for (int i = 0; i < 6; ++i)
    slid(i) = by_slide[i].sum();
  const double held = horn_spring(slide, horn_stiffness_, free_slide_).stiffness + bend.sum();
  result.slope = sums.slope() - slid * slid.transpose() / held;
  result.area_mm2 = area.sum();
  result.area_above_mm2 = high.sum();
  result.peak_mpa = peak.maxCoeff();
  result.centre_mm = Vector3(moment[0].sum(), moment[1].sum(), moment[2].sum()) / result.load_n;
  return carried(result, {femur.turn, femur.turn * condyle_.centre + femur.shift_mm});
}
} // namespace stifle
