// tests/solver/demo_construct.h - the demo construct (defaults, levelled to 6 degrees) on a coarse mesh, and its mirror image
#pragma once
#include "mesh/construct.h"
#include "solver/construct_model.h"

namespace stifle::solver
{
struct Demo
{
  Scenario                scenario;
  Anatomy                 anatomy;
  Levelling               levelling;
  mesh::ConstructMesh     construct;
  ConstructMaterials      materials;
  std::vector<PointForce> loads; ///< round numbers near mid-stance, with a mediolateral part
};

/// Made once for all tests of a process.
inline const Demo &demo()
{
  static const Demo made = [] {
    Demo d;
    d.scenario.mesh.bone_size_mm   = 5;
    d.scenario.mesh.detail_size_mm = 1.2;
    d.anatomy                      = make_anatomy(d.scenario);
    d.levelling                    = plan_levelling(d.scenario, d.anatomy, radians(6));
    d.construct                    = mesh::mesh_construct(d.scenario, d.anatomy, d.levelling);
    d.materials.cortex             = find_material("cortical_bone");
    d.materials.cancellous         = find_material("cancellous_bone");
    d.materials.plate = d.materials.screw = find_material("steel_316l_cold_worked");
    const Vector3 middle = d.levelling.moved(Vector3::Zero());
    d.loads = {{"contact_medial", middle + Vector3(0, 10, 0), {-20, 5, -250}, true},
               {"contact_lateral", middle + Vector3(0, -10, 0), {-20, 0, -200}, true},
               {"patellar_tendon", d.anatomy.tendon_insertion, {60, 0, 220}, false}};
    return d;
  }();
  return made;
}

inline Vector3 mirrored(const Vector3 &x) { return Vector3(x.x(), -x.y(), x.z()); }

/// The other limb: y -> -y, tetrahedra and triangles turned round so that volumes and outward normals keep their sign.
inline Demo mirrored(Demo d)
{
  mesh::TetMesh &m = d.construct.mesh;
  for (Vector3 &x : m.points)
    x = mirrored(x);
  for (mesh::Tetrahedron &t : m.tetrahedra)
    std::swap(t[2], t[3]);
  for (auto *pairs : {&m.cut, &m.threads})
    for (mesh::FacePair &pair : *pairs)
    {
      std::swap(pair.a[1], pair.a[2]);
      std::swap(pair.b[1], pair.b[2]);
    }
  for (mesh::Surface &surface : m.surfaces)
    for (mesh::Triangle &t : surface.triangles)
      std::swap(t[1], t[2]);
  for (auto &line : m.excluded)
  {
    line.from = mirrored(line.from);
    line.to   = mirrored(line.to);
  }
  for (auto &screw : d.construct.screws)
  {
    screw.head  = mirrored(screw.head);
    screw.entry = mirrored(screw.entry);
    screw.tip   = mirrored(screw.tip);
  }
  d.anatomy.hock_centre = mirrored(d.anatomy.hock_centre);
  for (PointForce &load : d.loads)
  {
    load.point_mm = mirrored(load.point_mm);
    load.force_n  = mirrored(load.force_n);
  }
  return d;
}
} // namespace stifle::solver
