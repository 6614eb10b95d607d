#include "mesh/bone_lofts.h"
#include "mesh/session.h"
#include "mesh/skin.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>
#include <gmsh.h>
#include <map>

namespace stifle::mesh
{
namespace
{
/// Turns triangles until neighbours agree and the volume is above 0; the surface is closed.
void turn_outward(TriangleSurface &s)
{
  std::map<std::pair<int, int>, std::vector<int>> at_edge;
  for (std::size_t t = 0; t < s.triangles.size(); ++t)
    for (int i = 0; i < 3; ++i)
      at_edge[std::minmax(s.triangles[t][i], s.triangles[t][(i + 1) % 3])].push_back(int(t));
  const auto runs = [&](int t, int a, int b)
  {
    const auto &c = s.triangles[t];
    return (c[0] == a && c[1] == b) || (c[1] == a && c[2] == b) || (c[2] == a && c[0] == b);
  };
  std::vector<bool> seen(s.triangles.size(), false);
  std::vector<int> next = {0};
  seen[0] = true;
  while (!next.empty())
  {
    const int t = next.back();
    next.pop_back();
    for (int i = 0; i < 3; ++i)
    {
      const int a = s.triangles[t][i], b = s.triangles[t][(i + 1) % 3];
      for (const int other : at_edge.at(std::minmax(a, b)))
        if (!seen[other])
        {
          seen[other] = true;
          if (runs(other, a, b)) // neighbours run along a common edge the other way
            std::swap(s.triangles[other][0], s.triangles[other][1]);
          next.push_back(other);
        }
    }
  }
  double volume = 0;
  for (const auto &[a, b, c] : s.triangles)
    volume += s.points[a].dot(s.points[b].cross(s.points[c]));
  if (volume < 0)
    for (auto &t : s.triangles)
      std::swap(t[0], t[1]);
}

TriangleSurface triangles_of_session()
{
  TriangleSurface surface;
  std::vector<std::size_t> tags, elements, corners;
  std::vector<double> xyz, parametric;
  gmsh::model::mesh::getNodes(tags, xyz, parametric, -1, -1, false, false);
  std::map<std::size_t, int> index;
  for (std::size_t i = 0; i < tags.size(); ++i)
    index[tags[i]] = int(i), surface.points.emplace_back(&xyz[3 * i]);
  constexpr int triangle = 2; // Gmsh's number of the 3-node triangle
  gmsh::model::mesh::getElementsByType(triangle, elements, corners);
  for (std::size_t e = 0; e < elements.size(); ++e)
    surface.triangles.push_back({index.at(corners[3 * e]), index.at(corners[3 * e + 1]), index.at(corners[3 * e + 2])});
  return surface;
}
} // namespace

int loft_skin(const Scenario &scenario, const Anatomy &anatomy)
{
  if (const auto scan = read_tibia_scan(scenario))
    return loft(scan_shape(*scan, scenario, anatomy).outer);
  return loft(bone_sections(anatomy));
}

BoneLofts loft_bone(const Scenario &scenario, const Anatomy &anatomy)
{
  if (const auto scan = read_tibia_scan(scenario))
  {
    const ScanShape shape = scan_shape(*scan, scenario, anatomy);
    const int skin = loft(shape.outer);
    return {skin, loft(shape.core)};
  }
  const int skin = loft(bone_sections(anatomy));
  return {skin, loft(core_sections(anatomy, scenario.tibia.cortex_mm))};
}

std::vector<std::string> check_bone(const Scenario &scenario, const Anatomy &anatomy)
{
  const auto scan = read_tibia_scan(scenario);
  if (!scan && scenario.tibia.surface)
    return {fmt::format("tibia.surface {}: a piece of the bone: contact of the joint only, the construct keeps the parametric bone",
                        *scenario.tibia.surface)};
  if (!scan)
    return {};
  const ScanShape shape = scan_shape(*scan, scenario, anatomy);
  const GmshSession session;
  const Skin skin = sample_skin(loft(shape.outer));
  loft(shape.core);
  const ScanDistance d = scan_distance(scan->outer, skin.triangles(), shape, anatomy);
  return {fmt::format("tibia.surface {}: {} triangles, {} curves; {} of its points lie {:.3f} mm from them on average, {:.2f} mm at most "
                      "(x = {:.1f}, y = {:.1f}, z = {:.1f} mm); {} points at the plateau or below z = {:.1f} mm were left out",
                      *scenario.tibia.surface, scan->outer.triangles.size(), shape.outer.size(), d.judged, d.mean_mm, d.largest_mm,
                      d.place.x(), d.place.y(), d.place.z(), d.left_out, shape.lowest_mm)};
}

TriangleSurface bone_surface(const Scenario &scenario, const Anatomy &anatomy, bool core, double edge_mm)
{
  const GmshSession session;
  const BoneLofts bone = loft_bone(scenario, anatomy);
  gmsh::model::occ::remove({{3, core ? bone.skin : bone.core}}, true);
  trim_plateau(core ? bone.core : bone.skin, anatomy, core ? scenario.tibia.cortex_mm : 0);
  gmsh::model::occ::synchronize();
  gmsh::option::setNumber("Mesh.MeshSizeMax", edge_mm);
  gmsh::option::setNumber("Mesh.MeshSizeFromPoints", 0);
  gmsh::option::setNumber("Mesh.Algorithm", 6); // Frontal-Delaunay
  gmsh::model::mesh::generate(2);
  TriangleSurface surface = triangles_of_session();
  turn_outward(surface);
  return surface;
}
} // namespace stifle::mesh
