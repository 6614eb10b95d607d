#include "mesh/rig_mesh.h"
#include "mesh/finish_construct.h"
#include "mesh/gmsh_mesh.h"
#include <algorithm>
#include <fmt/format.h>
#include <gmsh.h>

namespace stifle::mesh
{
namespace
{
namespace occ = gmsh::model::occ;
constexpr double plate_end_mm = 6, tube_end_mm = 10, roller_end_mm = 4; // beyond the last hole, screw, roller (assumption)
constexpr double tip_beyond_mm = 1, screw_to_gap_mm = 0.5;

/// Along z from the middle of the plate.
struct Layout
{
  double plate_low, plate_high, tube_low, tube_high;
};

Layout layout_of(const RigParameters &p)
{
  std::vector<double> holes = p.screws_mm;
  holes.insert(holes.end(), p.open_holes_mm.begin(), p.open_holes_mm.end());
  holes.push_back(0);
  const auto [low, high] = std::minmax_element(holes.begin(), holes.end());
  Layout l{*low - plate_end_mm, *high + plate_end_mm, *low - tube_end_mm, *high + tube_end_mm};
  if (p.kind != "four_point_bending")
    return l;
  const double support = 0.5 * p.centre_span_mm + p.span_mm + roller_end_mm;
  double &bottom = p.used_specimen() == "plate" ? l.plate_low : l.tube_low, &top = p.used_specimen() == "plate" ? l.plate_high : l.tube_high;
  bottom = std::min(bottom, -support), top = std::max(top, support);
  return l;
}

void check_holes(const Scenario &s)
{
  const RigParameters &p = s.rig;
  const double room = 0.5 * s.plate.width_mm - 0.5 * s.screws.major_mm;
  if (room < 1)
    throw Error(fmt::format("plate: {:g} mm wide (plate.width_mm) leaves {:.2f} mm beside a hole of {:g} mm (screws.major_mm)", s.plate.width_mm, room,
                            s.screws.major_mm));
  if (p.used_specimen() == "plate")
    return;
  for (const double z : p.screws_mm)
    if (std::abs(z) < 0.5 * p.gap_mm + 0.5 * s.screws.major_mm + screw_to_gap_mm)
      throw Error(fmt::format("rig.screws_mm: the screw at {:g} mm meets the gap of {:g} mm (rig.gap_mm)", z, p.gap_mm));
  if (s.screws.major_mm > 0.5 * p.tube_outer_mm)
    throw Error(fmt::format("rig.tube_outer_mm: {:g} mm is too thin for a screw of {:g} mm", p.tube_outer_mm, s.screws.major_mm));
  if (p.kind == "four_point_bending" && 0.5 * p.centre_span_mm < 0.5 * p.gap_mm + roller_end_mm)
    throw Error(fmt::format("rig.centre_span_mm: the loading rollers, {:g} mm apart, stand over the gap of {:g} mm (rig.gap_mm)", p.centre_span_mm,
                            p.gap_mm));
}

PlateFit straight_plate(const Scenario &s, const Layout &l, double middle_z, double inner_y)
{
  PlateFit plate;
  const double low = l.plate_low + middle_z, high = l.plate_high + middle_z, half = 0.5 * s.plate.width_mm;
  plate.outline = {{-half, low}, {half, low}, {half, high}, {-half, high}}; // counter-clockwise in (x, z)
  constexpr int n = 6;
  for (int i = 0; i <= n; ++i)
  {
    const double z = low - 2 + (high - low + 4) * i / n;
    plate.stations.push_back({z, inner_y, z, inner_y + s.plate.thickness_mm, 0});
  }
  return plate;
}

ImplantFit fit_straight(const Scenario &s, const Layout &l, double middle_z)
{
  const RigParameters &p = s.rig;
  const bool tubes = p.used_specimen() == "tubes";
  const double radius = 0.5 * p.tube_outer_mm, inner_y = tubes ? radius + s.plate.stand_off_mm : 1;
  ImplantFit fit;
  fit.plate = straight_plate(s, l, middle_z, inner_y);
  fit.thickness_mm = s.plate.thickness_mm;
  std::vector<std::pair<double, bool>> holes; // place, screw
  for (const double z : p.screws_mm)
    holes.emplace_back(z, tubes);
  for (const double z : p.open_holes_mm)
    holes.emplace_back(z, false);
  std::sort(holes.rbegin(), holes.rend());
  for (std::size_t i = 0; i < holes.size(); ++i)
  {
    const auto [z, screw] = holes[i];
    ScrewFit k{fmt::format("{}_{}", screw ? "screw" : "hole", i + 1), 0, z + middle_z, inner_y, radius, -radius, -radius - tip_beyond_mm,
               z > 0, screw ? HoleKind::locking : HoleKind::open, s.screws.core_mm, s.screws.major_mm, true, {}};
    (screw ? fit.screws : fit.open_holes).push_back(k);
  }
  return fit;
}

int tube(const RigParameters &p, double low, double high)
{
  const int outer = occ::addCylinder(0, 0, low, 0, 0, high - low, 0.5 * p.tube_outer_mm),
            inner = occ::addCylinder(0, 0, low, 0, 0, high - low, 0.5 * p.tube_inner_mm);
  gmsh::vectorpair out;
  std::vector<gmsh::vectorpair> map;
  occ::cut({{3, outer}}, {{3, inner}}, out, map);
  return out.at(0).second;
}

RigSpecimen mesh_in_session(const Scenario &s)
{
  const Layout l = layout_of(s.rig);
  const bool tubes = s.rig.used_specimen() == "tubes";
  RigSpecimen r{{}, make_anatomy(s), {}, tubes ? -l.tube_high : 0};
  r.anatomy.plateau_angle_rad = 0;
  r.anatomy.hock_centre = Vector3(0, 0, (tubes ? l.tube_low : l.plate_low) + r.middle_z);
  r.levelling = no_levelling(r.anatomy);
  const ImplantFit fit = fit_straight(s, l, r.middle_z);
  NamedSolids bones;
  if (tubes)
    bones = {{tube(s.rig, 0.5 * s.rig.gap_mm + r.middle_z, 0), "tube_proximal"},
             {tube(s.rig, r.anatomy.hock_centre.z(), -0.5 * s.rig.gap_mm + r.middle_z), "tube_distal"}};
  PlateParameters plate = s.plate;
  plate.bone_contact = "none"; // it stands off the tubes
  const ConstructCad cad = build_cad(bones, fit, plate);
  generate(s, cad);
  std::vector<std::string> order;
  for (const auto &[solid, part] : bones)
    order.push_back(part);
  order.push_back("plate");
  for (const ScrewFit &k : fit.screws)
    order.push_back(k.name);
  r.construct = finish_construct(read_mesh(cad.part_of_volume, order), fit, 0, r.anatomy, r.levelling);
  return r;
}
} // namespace

RigSpecimen mesh_straight_specimen(const Scenario &scenario)
{
  check_straight_specimen(scenario);
  return in_session("on the specimen of the rig", [&] { return mesh_in_session(scenario); });
}

void check_straight_specimen(const Scenario &scenario) { check_holes(scenario); }

void add_surface(TetMesh &mesh, const std::string &name, const std::vector<std::string> &base,
                 const std::function<bool(const Vector3 &, const Vector3 &)> &take)
{
  Surface surface{name, {}};
  for (const std::string &from : base)
    if (const Surface *s = mesh.find_surface(from))
      for (const Triangle &t : s->triangles)
      {
        const Vector3 &a = mesh.points[t[0]], &b = mesh.points[t[1]], &c = mesh.points[t[2]];
        if (take((a + b + c) / 3, (b - a).cross(c - a).normalized()))
          surface.triangles.push_back(t);
      }
  if (surface.triangles.empty())
    throw Error("rig: no face of the specimen lies where " + name + " acts");
  mesh.surfaces.push_back(surface);
}
} // namespace stifle::mesh
