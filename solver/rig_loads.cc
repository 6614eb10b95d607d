// Specimen and unit loads of each kind of rig; rig.h says what they are.
#include "models/core/error.h"
#include "solver/rig.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::solver
{
namespace
{
constexpr double roller_half_mm = 1.5;                 // half width of a roller's patch; its resultant lies on the roller line
constexpr double ring_inner = 1.5, ring_outer = 3.5;   // ring that holds the bone around a pulled screw, thread diameters (assumption)

void load_axially(RigBench &b)
{
  const mesh::RigSpecimen &s = b.specimen;
  const Vector3 top = s.levelling.moved(Vector3::Zero()), axis = (s.anatomy.hock_centre - top).normalized(),
                offset(b.rig.offset_cranial_mm, b.rig.offset_medial_mm, 0), none = Vector3::Zero();
  if (b.rig.used_specimen() == "tubes")
    b.unit = {{"plateau", top, axis, true, offset.cross(axis)}};
  else
  {
    const Vector3 side(0, s.anatomy.condyle_offset_mm, 0);
    b.unit = {{"contact_medial", s.levelling.moved(side), 0.5 * axis, true, none},
              {"contact_lateral", s.levelling.moved(-side), 0.5 * axis, true, none}};
    if (offset != none)
      b.unit.push_back({"plateau", top, none, true, offset.cross(axis)});
  }
}

void load_tendon(const Scenario &scenario, RigBench &b)
{
  const OperatedAnatomy bone = operate(b.specimen.anatomy, b.specimen.levelling);
  const JointState pose = solve_instant(scenario, bone, LigamentState::intact, LoadSet::press, nullptr, 50);
  if (!pose.converged)
    throw Error(fmt::format("rig: the joint finds no pose for the tendon at loads.stifle_angle_deg {:g}", scenario.loads.stifle_angle_deg));
  if (!(pose.patellar_tendon_n > 0))
    throw Error("rig: the patellar tendon does not pull in the press");
  b.unit = pose.on_tibia;
  for (PointForce &load : b.unit)
    load.force_n /= pose.patellar_tendon_n, load.moment_nmm /= pose.patellar_tendon_n;
}

void load_screw(RigBench &b)
{
  mesh::TetMesh &mesh = b.specimen.construct.mesh;
  const auto &screws = b.specimen.construct.screws;
  const std::string name = fmt::format("screw_{}", b.rig.screw);
  const auto k = std::find_if(screws.begin(), screws.end(), [&](const auto &s) { return s.name == name; });
  if (k == screws.end())
    throw Error(fmt::format("rig.screw: hole {} holds no screw", b.rig.screw));
  const auto beside = [&](const Vector3 &p) { return std::hypot(p.x() - k->head.x(), p.z() - k->head.z()); };
  mesh::add_surface(mesh, "rig_pull", {"screw_outer"},
                    [&](const Vector3 &p, const Vector3 &n) { return beside(p) < 0.5 * k->core_mm && p.y() > k->head.y() && n.y() > 0.7; });
  mesh::add_surface(mesh, "rig_ring", {k->proximal ? "outer_proximal" : "outer_distal"},
                    [&](const Vector3 &p, const Vector3 &n)
                    { return beside(p) > ring_inner * k->major_mm && beside(p) < ring_outer * k->major_mm && n.y() > 0.3; });
  b.unit = {{"rig_pull", k->head, Vector3::UnitY(), k->proximal, Vector3::Zero()},
            {"rig_ring", k->head, -Vector3::UnitY(), k->proximal, Vector3::Zero()}};
}

/// `side`: +1 on faces that look to +y. The force is the part of the total on one roller, pushed into the specimen.
void add_roller(RigBench &b, const std::string &name, double z, double side)
{
  const bool plate = b.rig.used_specimen() == "plate";
  const double at = z + b.specimen.middle_z, wall = plate ? 0 : 0.4 * b.rig.tube_outer_mm;
  const std::vector<std::string> base =
      plate ? std::vector<std::string>{"plate_outer"} : std::vector<std::string>{"outer_proximal", "outer_distal"};
  double height = 0;
  mesh::add_surface(b.specimen.construct.mesh, name, base,
                    [&](const Vector3 &p, const Vector3 &n)
                    {
                      const bool here = std::abs(p.z() - at) < roller_half_mm && side * n.y() > 0.5 && (plate || side * p.y() > wall);
                      if (here)
                        height = p.y();
                      return here;
                    });
  b.unit.push_back({name, Vector3(0, height, at), Vector3(0, -0.5 * side, 0), z > 0, Vector3::Zero()});
}

void load_rollers(RigBench &b)
{
  // The plate is loaded on its outer face; tubes away from the plate, so that the plate is on the side in tension.
  const double load = b.rig.used_specimen() == "plate" ? 1 : -1, inner = 0.5 * b.rig.centre_span_mm, outer = inner + b.rig.span_mm;
  add_roller(b, "rig_roller_1", inner, load);
  add_roller(b, "rig_roller_2", -inner, load);
  add_roller(b, "rig_roller_3", outer, -load);
  add_roller(b, "rig_roller_4", -outer, -load);
  mesh::TetMesh &mesh = b.specimen.construct.mesh;
  mesh::Surface support{"rig_support", mesh.find_surface("rig_roller_3")->triangles};
  const auto &other = mesh.find_surface("rig_roller_4")->triangles;
  support.triangles.insert(support.triangles.end(), other.begin(), other.end());
  mesh.surfaces.push_back(support);
}

void set_loads(const Scenario &scenario, RigBench &b)
{
  if (b.rig.kind == "axial")
    load_axially(b);
  else if (b.rig.kind == "tendon_pull")
    load_tendon(scenario, b);
  else if (b.rig.kind == "pull_out")
    load_screw(b);
  else if (b.rig.kind == "four_point_bending")
    load_rollers(b);
  else if (b.rig.kind == "torsion")
    b.unit = {{"plateau", Vector3::Zero(), Vector3::Zero(), true, Vector3::UnitZ()}};
  else
    throw Error("rig: no kind " + b.rig.kind);
}
} // namespace

RigBench make_bench(const Scenario &given, const Levelling &levelling)
{
  RigBench b;
  Scenario scenario = given;
  if (scenario.rig.kind == "pull_out") // by the end of its shaft: without a plate a plain head has nothing to sit in
    std::replace(scenario.screws.holes.begin(), scenario.screws.holes.end(), std::string("plain"), std::string("locking"));
  b.rig = scenario.rig;
  b.materials = construct_materials(scenario);
  b.law = cut_law(scenario, scenario.healing.weeks.front());
  if (b.rig.kind == "pull_out")
    b.law.bonded = true;
  if (b.rig.used_specimen() == "tibia")
  {
    b.specimen.anatomy = make_anatomy(scenario);
    b.specimen.levelling = levelling;
    b.specimen.construct = mesh::mesh_construct(scenario, b.specimen.anatomy, levelling);
  }
  else
  {
    b.specimen = mesh::mesh_straight_specimen(scenario);
    b.materials.cortex = find_material("cortical_bone"); // isotropic, whatever the bone of the scenario
    b.materials.cancellous = find_material("cancellous_bone");
    b.materials.orthotropic_cortex = false, b.materials.cancellous_levels_mm.reset();
    b.materials.cortex.modulus_mpa = b.rig.tube_modulus_mpa;
    b.materials.cortex.yield_mpa = 0;
  }
  set_loads(scenario, b);
  return b;
}

void check_bench(const Scenario &scenario, const Levelling &levelling)
{
  if (scenario.rig.used_specimen() == "tibia")
    mesh::check_construct(scenario, make_anatomy(scenario), levelling);
  else
    mesh::check_straight_specimen(scenario);
}
} // namespace stifle::solver
