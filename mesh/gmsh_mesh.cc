#include "mesh/gmsh_mesh.h"
#include <algorithm>
#include <gmsh.h>

namespace stifle::mesh
{
void generate(const EdgeLength &size)
{
  gmsh::option::setNumber("Mesh.MeshSizeExtendFromBoundary", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromPoints", 0);
  gmsh::option::setNumber("Mesh.MeshSizeFromCurvature", 0);
  gmsh::option::setNumber("Mesh.LcIntegrationPrecision", 1e-4); // 1e-9 by default: 2.5 s instead of 0.1 s for the edges
  gmsh::option::setNumber("Mesh.Algorithm", 6);                 // Frontal-Delaunay
  gmsh::option::setNumber("Mesh.Algorithm3D", 1);               // Delaunay: deterministic on one thread
  gmsh::option::setNumber("Mesh.Optimize", 1);
  gmsh::model::mesh::setSizeCallback([size](int dim, int tag, double x, double y, double z) { return size(dim, tag, Vector3(x, y, z)); });
  gmsh::model::mesh::generate(3);
  gmsh::model::mesh::removeSizeCallback();
}

void generate(const Scenario &scenario, const ConstructCad &cad)
{
  const MeshSize size(scenario, cad.fit, cad.steps);
  gmsh::option::setNumber("Mesh.OptimizeThreshold", 0.4);
  generate(
      [&](int dim, int tag, const Vector3 &place)
      {
        const double here = size(place);
        return cad.plate.count({dim, tag}) > 0 ? std::min(here, size.in_plate()) : here;
      });
  gmsh::model::mesh::optimize("Relocate3D"); // Debian builds Gmsh without the Netgen optimiser
  gmsh::model::mesh::optimize("");
}

TetMesh read_mesh(const std::map<int, std::string> &part_of_volume, const std::vector<std::string> &order)
{
  TetMesh mesh;
  std::vector<std::size_t> tags;
  std::vector<double> xyz, parametric;
  gmsh::model::mesh::getNodes(tags, xyz, parametric, -1, -1, false, false);
  std::vector<unsigned> index(tags.empty() ? 0 : *std::max_element(tags.begin(), tags.end()) + 1);
  for (std::size_t i = 0; i < tags.size(); ++i)
  {
    index[tags[i]] = i;
    mesh.points.emplace_back(&xyz[3 * i]);
  }
  mesh.parts = order;
  for (const auto &[volume_tag, name] : part_of_volume)
  {
    constexpr int tetrahedron = 4;              // Gmsh's number of the 4-node tetrahedron
    std::vector<std::size_t> elements, corners; // Gmsh wants them empty
    gmsh::model::mesh::getElementsByType(tetrahedron, elements, corners, volume_tag);
    for (std::size_t e = 0; e < elements.size(); ++e)
    {
      mesh.tetrahedra.push_back(
          {index[corners[4 * e]], index[corners[4 * e + 1]], index[corners[4 * e + 2]], index[corners[4 * e + 3]]});
      mesh.part.push_back(mesh.find_part(name));
      if (volume(mesh, mesh.tetrahedra.size() - 1) < 0)
        std::swap(mesh.tetrahedra.back()[0], mesh.tetrahedra.back()[1]);
    }
  }
  return mesh;
}
} // namespace stifle::mesh
