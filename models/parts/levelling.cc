#include "models/parts/levelling.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
/// How far cranial of its centre the arc stands at the height of the tendon insertion.
double arc_reach_mm(const Anatomy &anatomy, double radius_mm, double centre_height_mm)
{
  const double height = anatomy.tendon_insertion.z() - centre_height_mm;
  if (std::abs(height) >= radius_mm)
    throw Error(fmt::format("levelling: a saw of radius {:g} mm does not reach down to the tendon insertion, {:g} mm below its "
                            "centre",
                            radius_mm, -height));
  return std::sqrt(radius_mm * radius_mm - height * height);
}

/// Cranial (+1) or caudal (-1) end of the joint surface, unoperated.
Vector3 plateau_end(const Anatomy &a, int side)
{
  const double half = a.plateau_half_length_mm;
  return side * half * plateau_chord(a) - half * half / (2 * a.plateau_radius_mm) * plateau_normal(a);
}

/// Rotation that takes the cranial edge of the plateau segment (on the arc, at the height of the cranial end of the joint
/// surface) down to the perpendicular of the crest at the tendon insertion. The crest is taken parallel to the
/// functional axis (assumption); rule: joint.md section 1, textbook p. 255.
double safe_rotation(const Anatomy &a, const Levelling &cut)
{
  const auto angle = [&](double z) { return std::asin(std::max(-1.0, std::min(1.0, (z - cut.centre.z()) / cut.radius_mm))); };
  return angle(plateau_end(a, +1).z()) - angle(a.tendon_insertion.z());
}

void require_bone(const Anatomy &a, const Levelling &cut)
{
  if (!(cut.tuberosity_width_mm > 0))
    throw Error(fmt::format("levelling: the arc passes cranial of the tendon insertion (tuberosity width {:.2f} mm); reduce "
                            "levelling.saw_radius_mm {:g} or the cranial offset of its centre {:.2f} mm",
                            cut.tuberosity_width_mm, cut.radius_mm, cut.centre.x()));
  for (const int side : {+1, -1})
    if (!cut.proximal(plateau_end(a, side)))
      throw Error(fmt::format("levelling: the arc of radius {:g} mm about x = {:.2f} mm cuts through the {} part of the joint "
                              "surface (half length {:g} mm)",
                              cut.radius_mm, cut.centre.x(), side > 0 ? "cranial" : "caudal", a.plateau_half_length_mm));
}
} // namespace

bool Levelling::proximal(const Vector3 &point) const
{
  if (!cut)
    return true;
  return shape == CutShape::wedge ? point.z() > centre.z()
                                  : std::hypot(point.x() - centre.x(), point.z() - centre.z()) < radius_mm;
}

Vector3 Levelling::moved(const Vector3 &point) const { return cut ? Vector3(centre + turned(point - centre)) : point; }

Vector3 Levelling::turned(const Vector3 &direction) const
{
  return cut ? Vector3(rotation_about_y(-rotation_rad) * direction) : direction;
}

double achieved_plateau_angle_rad(const Anatomy &anatomy, const Levelling &cut)
{
  const Vector3 origin = cut.moved(Vector3::Zero());
  return anatomy.plateau_angle_rad - cut.rotation_rad + std::atan2(origin.x(), origin.z() + anatomy.tibia_length_mm);
}

Levelling levelling_about(const Anatomy &anatomy, const Vector3 &centre, double radius_mm, double rotation_rad)
{
  Levelling cut;
  cut.cut = true;
  cut.centre = centre;
  cut.radius_mm = radius_mm;
  cut.rotation_rad = rotation_rad;
  cut.target_angle_rad = anatomy.plateau_angle_rad - rotation_rad;
  cut.achieved_angle_rad = achieved_plateau_angle_rad(anatomy, cut);
  cut.chord_mm = 2 * radius_mm * std::sin(std::abs(rotation_rad) / 2);
  const double height = anatomy.tendon_insertion.z() - centre.z();
  cut.tuberosity_width_mm =
      anatomy.tendon_insertion.x() - centre.x() - std::sqrt(std::max(0.0, radius_mm * radius_mm - height * height));
  cut.safe_rotation_rad = safe_rotation(anatomy, cut);
  return cut;
}

Levelling plan_levelling(const Scenario &scenario, const Anatomy &anatomy, double target_angle_rad)
{
  const double radius = scenario.levelling.saw_radius_mm;
  const double height = scenario.levelling.centre_height_mm;
  const double reach = arc_reach_mm(anatomy, radius, height);
  double offset = scenario.levelling.centre_offset_mm.value_or(0);
  if (scenario.tibia.tuberosity_width_mm)
    offset = anatomy.tendon_insertion.x() - reach - *scenario.tibia.tuberosity_width_mm;
  const Levelling cut = levelling_about(anatomy, Vector3(offset, 0, height), radius, anatomy.plateau_angle_rad - target_angle_rad);
  require_bone(anatomy, cut);
  return cut;
}

Levelling no_levelling(const Anatomy &anatomy)
{
  Levelling none;
  none.target_angle_rad = none.achieved_angle_rad = anatomy.plateau_angle_rad;
  return none;
}

OperatedAnatomy operate(const Anatomy &anatomy, const Levelling &levelling)
{
  OperatedAnatomy result{anatomy, levelling, levelling.moved(Vector3::Zero())};
  Anatomy &a = result.anatomy;
  for (Vector3 *point : {&a.tendon_insertion, &a.cranial_cruciate_tibia, &a.caudal_cruciate_tibia, &a.secondary_tibia,
                         &a.hamstrings_tibia, &a.calcanean_origin})
    if (levelling.proximal(*point))
      *point = levelling.moved(*point);
  for (Bundle &b : a.joint.bundles)
  {
    b.proximal = levelling.cut && (b.on_fibula ? a.joint.fibula_proximal : levelling.proximal(b.tibia));
    if (b.proximal)
      b.tibia = levelling.moved(b.tibia);
  }
  if (levelling.proximal(a.joint.popliteus_tibia))
    a.joint.popliteus_tibia = levelling.moved(a.joint.popliteus_tibia);
  a.plateau_angle_rad -= levelling.rotation_rad;
  return result;
}
} // namespace stifle
