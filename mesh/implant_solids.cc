#include "mesh/implant_solids.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>
#include <gmsh.h>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
constexpr double head_depth_part = 0.45; // assumption: depth of a plain head in the plate, part of the thickness

/// Side profile in (y, z), extruded along x, and outline in (x, z), extruded along y: the plate is what both hold.
int plate_solid(const PlateFit &fit)
{
  double low_x = 1e300, high_x = -1e300, low_y = 1e300, high_y = -1e300;
  Tags corners, sides;
  for (const auto &p : fit.outline)
    low_x = std::min(low_x, p[0]), high_x = std::max(high_x, p[0]);
  low_x -= 1, high_x += 1;
  Tags inner, outer;
  for (const PlateFit::Station &s : fit.stations)
  {
    inner.push_back(occ::addPoint(low_x, s.inner_y, s.z));
    outer.push_back(occ::addPoint(low_x, s.outer_y, s.outer_z));
    low_y = std::min({low_y, s.inner_y, s.outer_y}), high_y = std::max({high_y, s.inner_y, s.outer_y});
  }
  const int profile = occ::addPlaneSurface({occ::addCurveLoop({occ::addSpline(inner), occ::addLine(inner.back(), outer.back()),
                                                               occ::addSpline(outer), occ::addLine(outer[0], inner[0])})});
  gmsh::vectorpair side, front, out;
  occ::extrude({{2, profile}}, high_x - low_x, 0, 0, side);
  for (const auto &p : fit.outline)
    corners.push_back(occ::addPoint(p[0], low_y - 1, p[1]));
  for (std::size_t i = 0; i < corners.size(); ++i)
    sides.push_back(occ::addLine(corners[i], corners[(i + 1) % corners.size()]));
  const int outline = occ::addPlaneSurface({occ::addCurveLoop(sides)});
  occ::extrude({{2, outline}}, 0, high_y - low_y + 2, 0, front);
  std::vector<gmsh::vectorpair> map;
  occ::intersect(solids(tags_of(side)), solids(tags_of(front)), out, map);
  if (out.size() != 1)
    throw Error(fmt::format("plate: the outline and the contour give {} pieces (CAD failure)", out.size()));
  return out[0].second;
}

/// Well outside of the plate on a hole's axis.
double beyond_plate(const ScrewFit &k, const PlateParameters &plate) { return k.plate_y + 2 * plate.thickness_mm; }

/// Core cylinder from the tip to beyond the outer face of the plate; the stub outside is dropped after fragmenting.
int screw_solid(const ScrewFit &k, const PlateParameters &plate)
{
  const double top = beyond_plate(k, plate);
  const Vector3 from = k.at(top), along = k.at(k.tip_y) - from;
  return occ::addCylinder(from.x(), from.y(), from.z(), along.x(), k.tip_y - top, along.z(), 0.5 * k.core_mm);
}

/// In a user's plate: the head fills the hole where it is there all round, the core goes from half way in it to the tip.
Tags user_screw_solids(const ScrewFit &k)
{
  const auto cylinder = [&](double from_y, double to_y, double diameter) // built along y: its seam then lies as in our own plate
  {
    const Vector3 p = k.at(from_y), turn = Vector3::UnitY().cross(k.axis);
    const int solid = occ::addCylinder(p.x(), p.y(), p.z(), 0, (to_y - from_y) / k.axis.y(), 0, 0.5 * diameter);
    if (turn.norm() > 0)
      occ::rotate({{3, solid}}, p.x(), p.y(), p.z(), turn.x(), turn.y(), turn.z(), std::asin(std::min(1.0, turn.norm())));
    return solid;
  };
  if (k.core_mm == k.bore_mm)
    return {cylinder(k.bore_top_y, k.tip_y, k.bore_mm)};
  return {cylinder(0.5 * (k.bore_top_y + k.plate_y), k.tip_y, k.core_mm), cylinder(k.bore_top_y, k.plate_y, k.bore_mm)};
}

/// Height of the floor of a plain screw's countersink.
double head_floor(const ScrewFit &k, const PlateParameters &plate)
{
  return k.plate_y + (1 - head_depth_part) * plate.thickness_mm;
}

/// Core cylinder up to the countersink, and the head: the plate inside a wider cylinder from there to its outer face.
Tags plain_screw_solids(const ScrewFit &k, const PlateParameters &plate, int whole_plate)
{
  const double floor = head_floor(k, plate), top = beyond_plate(k, plate);
  const int core = occ::addCylinder(k.x, floor, k.z, 0, k.tip_y - floor, 0, 0.5 * k.core_mm);
  const int wide = occ::addCylinder(k.x, floor, k.z, 0, top - floor, 0, 0.5 * k.head_mm());
  gmsh::vectorpair head;
  std::vector<gmsh::vectorpair> map;
  occ::intersect(solids({whole_plate}), solids({wide}), head, map, -1, false, true);
  if (head.size() != 1)
    throw Error(fmt::format("{}: its head gives {} pieces in the plate (CAD failure)", k.name, head.size()));
  return {core, head[0].second};
}

/// Takes the holes out of the plate that no locking screw fills.
int bore_plate(int plate, const ImplantFit &fit, const PlateParameters &parameters)
{
  Tags bores;
  const auto bore = [&](const ScrewFit &k)
  {
    const double top = beyond_plate(k, parameters), bottom = k.plate_y - parameters.thickness_mm;
    bores.push_back(occ::addCylinder(k.x, top, k.z, 0, bottom - top, 0, 0.5 * k.hole_mm()));
  };
  for (const ScrewFit &k : fit.open_holes)
    bore(k);
  for (const ScrewFit &k : fit.screws)
    if (k.kind == HoleKind::plain)
      bore(k);
  if (bores.empty())
    return plate;
  gmsh::vectorpair out;
  std::vector<gmsh::vectorpair> map;
  occ::cut(solids({plate}), solids(bores), out, map);
  if (out.size() != 1)
    throw Error(fmt::format("plate: its holes leave {} pieces (CAD failure)", out.size()));
  return out[0].second;
}

/// Takes out of the plate what lies in the bone: the faces that are left there are the bone's own.
int shape_to_bone(int plate, const Tags &bones)
{
  gmsh::vectorpair out;
  std::vector<gmsh::vectorpair> map;
  occ::cut(solids({plate}), solids(bones), out, map, -1, true, false);
  if (out.size() != 1)
    throw Error(fmt::format("plate: shaping it to the bone leaves {} pieces (CAD failure); another plate.contact_depth_mm may do",
                            out.size()));
  return out[0].second;
}

Tags own_screw_solids(const ScrewFit &k, const PlateParameters &plate, int whole_plate)
{
  if (k.kind == HoleKind::plain)
    return plain_screw_solids(k, plate, whole_plate);
  return {screw_solid(k, plate)};
}
} // namespace

NamedSolids implant_solids(const ImplantFit &fit, const PlateParameters &parameters, const Tags &bones)
{
  const int plate = plate_solid(fit.plate);
  NamedSolids list{{plate, "plate"}};
  for (const ScrewFit &k : fit.screws)
    for (const int solid : own_screw_solids(k, parameters, plate))
      list.emplace_back(solid, k.name);
  const int bored = bore_plate(plate, fit, parameters);
  list[0].first = parameters.bone_contact == "none" ? bored : shape_to_bone(bored, bones);
  return list;
}

NamedSolids user_implant_solids(const ImplantFit &fit, int plate)
{
  occ::translate(solids({plate}), 0, fit.seat_mm, 0);
  NamedSolids list{{plate, "plate"}};
  for (const ScrewFit &k : fit.screws)
    for (const int solid : user_screw_solids(k))
      list.emplace_back(solid, k.name);
  return list;
}

int bored_plate(const ImplantFit &fit, const PlateParameters &parameters)
{
  return bore_plate(plate_solid(fit.plate), fit, parameters);
}
} // namespace stifle::mesh
