#include "viz/joint_shape.h"
#include "models/parts/repair.h"
#include <cmath>

namespace stifle::viz
{
namespace
{
/// The joint surface from caudal to cranial: it bends away from the chord, condyles roll on it.
Outline joint_surface(const Anatomy &a)
{
  Outline points;
  for (int i = -10; i <= 10; ++i)
  {
    const double s = a.plateau_half_length_mm * i / 10;
    points.push_back(s * plateau_chord(a) - s * s / (2 * a.plateau_radius_mm) * plateau_normal(a));
  }
  return points;
}

/// Sketch of the unoperated tibia through its landmarks, down to `view_low_mm`.
Outline tibia_outline(const Anatomy &a)
{
  const double k = a.tibia_length_mm / 200;
  Outline points = joint_surface(a);
  const Vector3 caudal = points.front(), t = a.tendon_insertion;
  points.push_back(t + k * Vector3(-7, 0, 8));
  points.push_back(t + k * Vector3(-1, 0, 2));
  points.push_back(t);
  points.push_back(t + k * Vector3(-1, 0, -8));
  points.push_back(t + k * Vector3(-13, 0, -32));
  points.push_back(Vector3(10 * k, 0, view_low_mm));
  points.push_back(Vector3(-8 * k, 0, view_low_mm));
  points.push_back(Vector3(-9 * k, 0, -45 * k));
  points.push_back(caudal + k * Vector3(2, 0, -14));
  points.push_back(caudal + k * Vector3(-2, 0, -5));
  return points;
}

/// The part of a polygon behind a line through `on_line`: clipped edge by edge (Sutherland and Hodgman 1974, memory).
Outline behind_line(const Outline &polygon, const Vector3 &on_line, const Vector3 &outward)
{
  const auto height = [&](const Vector3 &p) { return (p - on_line).dot(outward); };
  Outline kept;
  for (std::size_t j = 0; j < polygon.size(); ++j)
  {
    const Vector3 &a = polygon[j], &b = polygon[(j + 1) % polygon.size()];
    if (height(a) <= 0)
      kept.push_back(a);
    if ((height(a) < 0) != (height(b) < 0))
      kept.push_back(a + (b - a) * height(a) / (height(a) - height(b)));
  }
  return kept;
}

/// The part of a polygon inside a circle (a polygon of 96 corners).
Outline inside_circle(Outline polygon, const Vector3 &centre, double radius)
{
  constexpr int n = 96;
  for (int i = 0; i < n; ++i)
  {
    const double angle = 2 * pi * (i + 0.5) / n;
    const Vector3 outward(std::cos(angle), 0, std::sin(angle));
    polygon = behind_line(polygon, centre + radius * std::cos(pi / n) * outward, outward);
  }
  return polygon;
}

/// What leaves its place (a wedge: with the removed bone), and what is moved.
std::pair<Outline, Outline> cut_pieces(const Outline &shape, const Levelling &cut)
{
  if (cut.shape == CutShape::arc)
  {
    const auto piece = inside_circle(shape, cut.centre, cut.radius_mm);
    return {piece, piece};
  }
  const Vector3 below(std::sin(cut.rotation_rad), 0, -std::cos(cut.rotation_rad)); // of the proximal face
  return {behind_line(shape, cut.centre, -Vector3::UnitZ()), behind_line(shape, cut.centre, below)};
}

} // namespace

JointShape joint_shape(const Scenario &scenario, const std::string &repair, double target_deg)
{
  const RepairKind kind = repair_kind(repair);
  Scenario dog = scenario;
  if (kind == RepairKind::none)
    dog.tibia.plateau_angle_deg = target_deg;
  JointShape shape;
  shape.whole = make_anatomy(dog);
  shape.bone = kind == RepairKind::levelling || kind == RepairKind::wedge ? repaired(dog, shape.whole, kind, radians(target_deg))
                                                                          : operate(shape.whole, no_levelling(shape.whole));
  return shape;
}

TibiaOutlines tibia_outlines(const JointShape &shape)
{
  const Levelling &cut = shape.bone.levelling;
  TibiaOutlines t;
  t.whole = tibia_outline(shape.whole);
  if (cut.cut)
    std::tie(t.left, t.moved) = cut_pieces(t.whole, cut);
  t.surface = joint_surface(shape.whole);
  for (Outline *moved : {&t.moved, &t.surface})
    for (Vector3 &p : *moved)
      p = cut.moved(p);
  const Vector3 chord = 1.25 * shape.whole.plateau_half_length_mm * plateau_chord(shape.bone.anatomy);
  t.chord = {shape.bone.plateau_origin - chord, shape.bone.plateau_origin + chord};
  return t;
}

FemurOutlines femur_outlines(const Anatomy &a, const Vector3 &centre, double stifle_angle_rad)
{
  const Matrix3 turn = femur_rotation(stifle_angle_rad);
  const double k = a.tibia_length_mm / 200, r = a.condyle_radius_mm;
  FemurOutlines f;
  f.condyle_radius_mm = r;
  f.trochlea_radius_mm = a.trochlea_radius_mm - 6 * k;
  f.trochlea = centre + turn * a.trochlea_centre;
  for (const Vector3 &p : {Vector3(-0.8 * r, 0, 8 * k), Vector3(-6 * k, 0, 30 * k), Vector3(-6 * k, 0, 50 * k),
                           Vector3(12 * k, 0, 50 * k), Vector3(13 * k, 0, 30 * k), Vector3(0.9 * f.trochlea_radius_mm, 0, 8 * k)})
    f.shaft.push_back(centre + turn * p);
  f.quadriceps_origin = centre + turn * a.quadriceps_origin;
  f.cranial_cruciate = centre + turn * a.cranial_cruciate_femur;
  f.caudal_cruciate = centre + turn * a.caudal_cruciate_femur;
  return f;
}
} // namespace stifle::viz
