#include "mesh/resected_tibia.h"
#include "mesh/bone_shape.h"
#include "mesh/session.h"
#include "models/core/error.h"
#include <algorithm>
#include <gmsh.h>
#include <map>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
constexpr double rim_part = 0.16, growth = 0.4; // edge length at the rim, part of the radius; added per mm away from it

/// Solids and disc of the foot, sharing faces; volume tag to part.
std::map<int, unsigned> build(const Scenario &scenario, const Anatomy &anatomy, double level, const Punch &punch)
{
  const int outer = trim_plateau(loft(bone_sections(anatomy)), anatomy, level);
  const int core  = trim_plateau(loft(core_sections(anatomy, scenario.tibia.cortex_mm)), anatomy, std::max(level, scenario.tibia.cortex_mm));
  const int disc  = occ::addDisk(punch.chord_mm, punch.medial_mm, -level, punch.radius_mm, punch.radius_mm);
  occ::rotate({{2, disc}}, 0, 0, 0, 0, 1, 0, -anatomy.plateau_angle_rad);
  gmsh::vectorpair              out;
  std::vector<gmsh::vectorpair> map;
  occ::fragment({{3, outer}}, {{3, core}, {2, disc}}, out, map);
  occ::synchronize();
  std::map<int, unsigned> part;
  for (unsigned i = 0; i < 2; ++i) // the core lies in the bone: it comes last
    for (const auto &[dim, tag] : map[i])
      if (dim == 3)
        part[tag] = i;
  return part;
}

void generate(double bone_size, const Vector3 &centre, double radius)
{
  gmsh::option::setNumber("Mesh.MeshSizeExtendFromBoundary", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromPoints", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromCurvature", 0);
  gmsh::option::setNumber("Mesh.LcIntegrationPrecision", 1e-4);
  gmsh::option::setNumber("Mesh.Algorithm", 6);   // Frontal-Delaunay
  gmsh::option::setNumber("Mesh.Algorithm3D", 1); // Delaunay: deterministic on one thread
  gmsh::option::setNumber("Mesh.Optimize", 1);
  gmsh::model::mesh::setSizeCallback([=](int, int, double x, double y, double z) {
    const double away = std::abs((Vector3(x, y, z) - centre).norm() - radius);
    return std::min(bone_size, rim_part * radius + growth * away);
  });
  gmsh::model::mesh::generate(3);
  gmsh::model::mesh::removeSizeCallback();
}

TetMesh read(const std::map<int, unsigned> &part_of)
{
  TetMesh                  mesh;
  std::vector<std::size_t> tags;
  std::vector<double>      xyz, parametric;
  gmsh::model::mesh::getNodes(tags, xyz, parametric, -1, -1, false, false);
  std::map<std::size_t, unsigned> index; // only nodes of tetrahedra
  std::map<std::size_t, std::size_t> at;
  for (std::size_t i = 0; i < tags.size(); ++i)
    at[tags[i]] = i;
  for (const auto &[volume_tag, part] : part_of)
  {
    std::vector<std::size_t> elements, corners;
    gmsh::model::mesh::getElementsByType(4, elements, corners, volume_tag); // 4: Gmsh's tetrahedron
    for (std::size_t e = 0; e < elements.size(); ++e)
    {
      Tetrahedron t{};
      for (int i = 0; i < 4; ++i)
      {
        const auto [it, fresh] = index.emplace(corners[4 * e + i], mesh.points.size());
        if (fresh)
          mesh.points.emplace_back(&xyz[3 * at.at(corners[4 * e + i])]);
        t[i] = it->second;
      }
      mesh.tetrahedra.push_back(t);
      mesh.part.push_back(part);
      if (volume(mesh, mesh.tetrahedra.size() - 1) < 0)
        std::swap(mesh.tetrahedra.back()[0], mesh.tetrahedra.back()[1]);
    }
  }
  mesh.parts     = {"cortex_distal", "cancellous_distal"};
  mesh.component = {1, 1};
  return mesh;
}
} // namespace

TetMesh resected_tibia(const Scenario &scenario, const Anatomy &anatomy, double level, const Punch &punch)
{
  const Vector3     normal = plateau_normal(anatomy);
  const Vector3     centre = punch.chord_mm * plateau_chord(anatomy) + punch.medial_mm * Vector3::UnitY() - level * normal;
  const GmshSession session;
  TetMesh           mesh;
  try
  {
    const auto parts = build(scenario, anatomy, level, punch);
    generate(scenario.mesh.bone_size_mm, centre, punch.radius_mm);
    mesh = read(parts);
  }
  catch (const std::string &text) // what Gmsh throws
  {
    throw Error("resected tibia: Gmsh failed: " + text);
  }
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
