#include "mesh/resected_tibia.h"
#include "mesh/bone_shape.h"
#include "mesh/gmsh_mesh.h"
#include "mesh/split_mesh.h"
#include <algorithm>
#include <gmsh.h>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
const std::vector<std::string> parts{"cortex_distal", "cancellous_distal"};
constexpr double rim_part = 0.16, growth = 0.4; // edge length at the rim, part of the radius; added per mm away from it

/// Solids and disc of the foot, sharing faces; volume tag to part.
std::map<int, std::string> build(const Scenario &scenario, const Anatomy &anatomy, double level, const Punch &punch)
{
  const int outer = trim_plateau(loft(bone_sections(anatomy)), anatomy, level);
  const int core  = trim_plateau(loft(core_sections(anatomy, scenario.tibia.cortex_mm)), anatomy, std::max(level, scenario.tibia.cortex_mm));
  const int disc  = occ::addDisk(punch.chord_mm, punch.medial_mm, -level, punch.radius_mm, punch.radius_mm);
  occ::rotate({{2, disc}}, 0, 0, 0, 0, 1, 0, -anatomy.plateau_angle_rad);
  gmsh::vectorpair              out;
  std::vector<gmsh::vectorpair> map;
  occ::fragment({{3, outer}}, {{3, core}, {2, disc}}, out, map);
  occ::synchronize();
  std::map<int, std::string> part;
  for (unsigned i = 0; i < 2; ++i) // the core lies in the bone: it comes last
    for (const auto &[dim, tag] : map[i])
      if (dim == 3)
        part[tag] = parts[i];
  return part;
}
} // namespace

TetMesh resected_tibia(const Scenario &scenario, const Anatomy &anatomy, double level, const Punch &punch)
{
  const Vector3 normal = plateau_normal(anatomy);
  const Vector3 centre = punch.chord_mm * plateau_chord(anatomy) + punch.medial_mm * Vector3::UnitY() - level * normal;
  TetMesh       mesh   = in_session("on the resected tibia", [&] {
    const auto solids = build(scenario, anatomy, level, punch);
    generate([&](int, int, const Vector3 &place) {
      const double away = std::abs((place - centre).norm() - punch.radius_mm);
      return std::min(scenario.mesh.bone_size_mm, rim_part * punch.radius_mm + growth * away);
    });
    return split_components(read_mesh(solids, parts), anatomy, no_levelling(anatomy), {});
  });
  Surface foot{"punch", {}};
  double  area = 0;
  for (const BoundaryFace &face : boundary_faces(mesh))
  {
    const auto under = [&](unsigned v) {
      const Vector3 r = mesh.points[v] - centre;
      return std::abs(r.dot(normal)) < 1e-6 && r.norm() < punch.radius_mm + 1e-6;
    };
    const Triangle &t = face.triangle;
    if (!under(t[0]) || !under(t[1]) || !under(t[2]))
      continue;
    if (mesh.part[face.tetrahedron] != 1)
      throw Error("resected tibia: the punch stands on cortical bone");
    foot.triangles.push_back(t);
    area += 0.5 * (mesh.points[t[1]] - mesh.points[t[0]]).cross(mesh.points[t[2]] - mesh.points[t[0]]).norm();
  }
  if (area < 0.95 * pi * punch.radius_mm * punch.radius_mm)
    throw Error("resected tibia: the punch stands partly outside the face");
  mesh.surfaces = {foot};
  return mesh;
}
} // namespace stifle::mesh
