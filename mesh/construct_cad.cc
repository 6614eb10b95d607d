#include "mesh/construct_cad.h"
#include "mesh/bone_lofts.h"
#include "mesh/user_plate.h"
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
using Tags = std::vector<int>;

gmsh::vectorpair solids(const Tags &tags)
{
  gmsh::vectorpair v;
  for (const int t : tags)
    v.emplace_back(3, t);
  return v;
}

Tags tags_of(const gmsh::vectorpair &v)
{
  Tags t;
  for (const auto &[dim, tag] : v)
    if (dim == 3)
      t.push_back(tag);
  return t;
}

double volume_of(int solid)
{
  double v = 0;
  occ::getMass(3, solid, v);
  return v;
}

/// The saw cut: a cylinder about y with its seam turned up, out of the bone.
int saw_cylinder(const Levelling &levelling, double half_length)
{
  const Vector3 &c = levelling.centre;
  // A circle in the plane z = 0 that starts at -y; turned about x it stands in (x, z) and starts at +z.
  const int circle = occ::addCircle(0, 0, 0, levelling.radius_mm, -1, -pi / 2, 1.5 * pi);
  const int disc = occ::addPlaneSurface({occ::addCurveLoop({circle})});
  occ::rotate({{2, disc}}, 0, 0, 0, 1, 0, 0, -pi / 2);
  occ::translate({{2, disc}}, c.x(), -half_length, c.z());
  gmsh::vectorpair out;
  occ::extrude({{2, disc}}, 0, 2 * half_length, 0, out);
  return tags_of(out).at(0);
}

/// Splits a solid at the saw cylinder and turns the proximal piece.
struct Halves
{
  int proximal, distal;
};
Halves split(int solid, const std::string &name, const Levelling &levelling, double half_length)
{
  const double whole = volume_of(solid);
  const int saw = saw_cylinder(levelling, half_length);
  gmsh::vectorpair inside, outside;
  std::vector<gmsh::vectorpair> map;
  occ::intersect(solids({solid}), solids({saw}), inside, map, -1, false, false);
  occ::cut(solids({solid}), solids({saw}), outside, map, -1, true, true);
  if (inside.size() != 1 || outside.size() != 1)
    throw Error(fmt::format("levelling: the arc of radius {:g} mm about x = {:.2f} mm cuts the {} into {} proximal and {} distal "
                            "pieces; one of each is needed",
                            levelling.radius_mm, levelling.centre.x(), name, inside.size(), outside.size()));
  const Halves h{inside[0].second, outside[0].second};
  const double lost = std::abs(volume_of(h.proximal) + volume_of(h.distal) - whole) / whole;
  if (lost > 1e-3)
    throw Error(fmt::format("levelling: the cut of the {} lost {:.2f} % of its volume (CAD failure)", name, 100 * lost));
  const Vector3 x = levelling.turned(Vector3::UnitX()), &c = levelling.centre;
  occ::rotate(solids({h.proximal}), c.x(), c.y(), c.z(), 0, 1, 0, std::atan2(-x.z(), x.x()));
  return h;
}

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

/// Points along a curve, when all of it lies on the saw cylinder and it is not a line along y.
std::vector<Vector3> sample_on_cylinder(int curve, const Levelling &levelling)
{
  constexpr int n = 24;
  std::vector<double> low, high, at, xyz;
  gmsh::model::getParametrizationBounds(1, curve, low, high);
  for (int i = 0; i <= n; ++i)
    at.push_back(low[0] + (high[0] - low[0]) * i / n);
  gmsh::model::getValue(1, curve, at, xyz);
  std::vector<Vector3> points;
  for (int i = 0; i <= n; ++i)
  {
    points.emplace_back(&xyz[3 * i]);
    const Vector3 p = points.back() - levelling.centre;
    if (std::abs(std::hypot(p.x(), p.z()) - levelling.radius_mm) > 1e-4)
      return {};
  }
  return points;
}

/// After the turn the edges of the two cut faces run side by side. Elements between them are slivers unless their length
/// follows the distance of the edges.
std::vector<SizePoint> size_steps(double bone_size_mm, const Levelling &levelling)
{
  constexpr double per_gap = 2.0, least_part = 0.15; // edge length per distance; at least this part of the bone size
  gmsh::vectorpair curves;
  gmsh::model::getEntities(curves, 1);
  std::vector<std::vector<Vector3>> samples;
  for (const auto &[dim, tag] : curves)
    if (auto points = sample_on_cylinder(tag, levelling); !points.empty())
      samples.push_back(std::move(points));
  std::vector<SizePoint> steps;
  for (std::size_t i = 0; i < samples.size(); ++i)
    for (const Vector3 &p : samples[i])
    {
      double nearest = 1e300;
      for (std::size_t j = 0; j < samples.size(); ++j)
        for (const Vector3 &q : samples[j])
          if (i != j)
            nearest = std::min(nearest, (p - q).norm());
      const double size = std::max(per_gap * nearest, least_part * bone_size_mm);
      if (size < bone_size_mm)
        steps.push_back({p, size});
    }
  return steps;
}

class CadBuilder
{
public:
  CadBuilder(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
  {
    std::optional<UserPlate> user; // its reader wants an empty session
    if (levelling.cut && scenario.plate.file)
      user = read_user_plate(scenario);
    auto [outer, core] = loft_bone(scenario, anatomy);
    if (levelling.cut)
      cad.fit = fit_implants(scenario, anatomy, levelling, sample_skin(outer), user ? &*user : nullptr);
    outer = trim_plateau(outer, anatomy, 0);
    core = trim_plateau(core, anatomy, scenario.tibia.cortex_mm);
    if (!levelling.cut)
    {
      add(outer, "cortex_distal"), add(core, "cancellous_distal");
      fragment();
      return;
    }
    const double half = anatomy.tibia_length_mm;
    const Halves bone = split(outer, "bone", levelling, half), inner = split(core, "cancellous core", levelling, half);
    add(bone.proximal, "cortex_proximal"), add(inner.proximal, "cancellous_proximal");
    add(bone.distal, "cortex_distal"), add(inner.distal, "cancellous_distal");
    if (user)
      add_users_implants(*user);
    else
      add_implants(scenario.plate, {bone.proximal, bone.distal});
    fragment();
    if (user)
      check_users_plate(*user);
    if (scenario.rig.kind == "pull_out")
      drop("plate");
    cad.steps = size_steps(scenario.mesh.bone_size_mm, levelling);
  }
  CadBuilder(const std::vector<std::pair<int, std::string>> &bones, const ImplantFit &fit, const PlateParameters &plate)
  {
    cad.fit = fit;
    for (const auto &[solid, part] : bones)
      add(solid, part);
    add_implants(plate, {});
    fragment();
  }
  ConstructCad cad;

private:
  void add(int solid, const std::string &part)
  {
    inputs_.push_back(solid);
    names_.push_back(part);
  }

  void add_implants(const PlateParameters &parameters, const Tags &bones)
  {
    const int plate = plate_solid(cad.fit.plate);
    std::vector<std::pair<int, std::string>> screws;
    for (const ScrewFit &k : cad.fit.screws)
      if (k.kind == HoleKind::plain)
        for (const int solid : plain_screw_solids(k, parameters, plate))
          screws.emplace_back(solid, k.name);
      else
        screws.emplace_back(screw_solid(k, parameters), k.name);
    const int bored = bore_plate(plate, cad.fit, parameters);
    add(parameters.bone_contact == "none" ? bored : shape_to_bone(bored, bones), "plate");
    for (const auto &[solid, name] : screws)
      add(solid, name);
  }

  void add_users_implants(const UserPlate &user)
  {
    occ::translate(solids({user.solid}), 0, cad.fit.seat_mm, 0);
    add(user.solid, "plate");
    for (const ScrewFit &k : cad.fit.screws)
      for (const int solid : user_screw_solids(k))
        add(solid, k.name);
  }

  /// The plate keeps its volume, and every screw meets it.
  void check_users_plate(const UserPlate &user)
  {
    double volume = 0;
    std::map<std::string, std::set<int>> faces;
    for (const auto &[tag, part] : cad.part_of_volume)
    {
      gmsh::vectorpair boundary;
      gmsh::model::getBoundary({{3, tag}}, boundary, false, false, false);
      for (const auto &[dim, face] : boundary)
        faces[part].insert(face);
      if (part != "plate")
        continue;
      volume += volume_of(tag);
      cad.plate.insert({3, tag});
      for (const bool edges : {false, true})
      {
        if (edges)
          gmsh::model::getBoundary(gmsh::vectorpair(boundary), boundary, false, false, false);
        cad.plate.insert(boundary.begin(), boundary.end());
      }
    }
    if (std::abs(volume - user.volume_mm3) > 1e-3 * user.volume_mm3)
      throw Error(fmt::format("plate: {:.1f} of its {:.1f} mm3 are left beside bone and screws: the screws are wider than their holes, or "
                              "the plate lies in the bone",
                              volume, user.volume_mm3));
    for (const ScrewFit &k : cad.fit.screws)
      if (std::none_of(faces[k.name].begin(), faces[k.name].end(), [&](int f) { return faces["plate"].count(f) > 0; }))
        throw Error(fmt::format("{}: does not meet the wall of its hole in the plate (CAD failure)", k.name));
  }

  /// Later inputs win where solids overlap: core over cortex, screws over everything.
  void fragment()
  {
    gmsh::vectorpair out;
    std::vector<gmsh::vectorpair> map{solids(inputs_)};
    if (inputs_.size() > 1)
      occ::fragment(solids({inputs_[0]}), solids(Tags(inputs_.begin() + 1, inputs_.end())), out, map);
    std::map<int, int> owners; // how many inputs hold a piece
    for (std::size_t i = 0; i < inputs_.size(); ++i)
      for (const int tag : tags_of(map[i]))
        cad.part_of_volume[tag] = names_[i], ++owners[tag];
    drop_stubs(owners);
    occ::synchronize();
  }

  /// Pieces of a screw in no other solid are its length in the gap, its tip (both stay) and the stub outside the plate. A plain
  /// screw has no stub.
  void drop_stubs(const std::map<int, int> &owners)
  {
    for (auto it = cad.part_of_volume.begin(); it != cad.part_of_volume.end();)
    {
      const auto k =
          std::find_if(cad.fit.screws.begin(), cad.fit.screws.end(), [&](const ScrewFit &s) { return s.name == it->second; });
      double x, y = 0, z;
      if (k != cad.fit.screws.end())
        occ::getCenterOfMass(3, it->first, x, y, z);
      if (k != cad.fit.screws.end() && k->kind == HoleKind::locking && k->bore_mm == 0 && owners.at(it->first) == 1 && y > k->plate_y)
      {
        occ::remove({{3, it->first}}, true);
        it = cad.part_of_volume.erase(it);
      }
      else
        ++it;
    }
  }

  void drop(const std::string &part)
  {
    for (auto it = cad.part_of_volume.begin(); it != cad.part_of_volume.end();)
      if (it->second == part)
      {
        occ::remove({{3, it->first}}, true); // faces of the screws stay with them
        it = cad.part_of_volume.erase(it);
      }
      else
        ++it;
    occ::synchronize();
  }

  Tags inputs_;
  std::vector<std::string> names_;
};
} // namespace

ConstructCad build_cad(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
{
  return std::move(CadBuilder(scenario, anatomy, levelling).cad);
}

ConstructCad build_cad(const std::vector<std::pair<int, std::string>> &bones, const ImplantFit &fit, const PlateParameters &plate)
{
  return std::move(CadBuilder(bones, fit, plate).cad);
}

double write_plate_step(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const std::string &file)
{
  const int bone = loft_skin(scenario, anatomy);
  ImplantFit fit = fit_implants(scenario, anatomy, levelling, sample_skin(bone));
  fit.open_holes.insert(fit.open_holes.end(), fit.screws.begin(), fit.screws.end());
  fit.screws.clear();
  const int plate = bore_plate(plate_solid(fit.plate), fit, scenario.plate);
  occ::remove(solids({bone}), true);
  occ::synchronize();
  gmsh::write(file);
  return volume_of(plate);
}
} // namespace stifle::mesh
