// tests/solver/plated_block.h - two bone blocks 10 x 12 x 30 mm with an oblique cut between them and a steel plate 12 x 3.3 mm along the
// side x = 5, tied to both but for 7.5 mm on either side of the cut: small enough for a contact solve by another program
#pragma once
#include "tests/solver/block_construct.h"
#include <map>

namespace stifle::solver
{
inline mesh::ConstructMesh plated_block()
{
  constexpr unsigned layers = 16, cut_layer = 8;
  constexpr double height = 60, slope = 0.15;
  const auto z_at = [](double x, double share) { // the lean of the cut fades towards both ends
    const double fade = share <= 0.5 ? 2 * share : 2 * (1 - share);
    return height * share + slope * x * fade;
  };
  mesh::BlockOptions bone, plate;
  bone.cells = {{4, 4, layers}};
  bone.cut_layer = cut_layer;
  bone.part = [](const Vector3 &) { return "cortex"; };
  bone.map = [=](const Vector3 &r) { return Vector3(10 * r.x() - 5, 12 * r.y() - 6, z_at(10 * r.x() - 5, r.z())); };
  plate.cells = {{2, 4, layers}};
  plate.component = 2;
  plate.part = [](const Vector3 &) { return "plate"; };
  plate.map = [=](const Vector3 &r) { return Vector3(5 + 3.3 * r.x(), 12 * r.y() - 6, z_at(5, r.z())); };
  mesh::ConstructMesh construct;
  mesh::TetMesh &m = construct.mesh = mesh::block_mesh(bone);
  const mesh::TetMesh added = mesh::block_mesh(plate);
  using Key = std::array<long, 3>;
  const auto key = [](const Vector3 &x) { return Key{{std::lround(1e6 * x.x()), std::lround(1e6 * x.y()), std::lround(1e6 * x.z())}}; };
  std::map<Key, unsigned> on_side;
  for (const mesh::Triangle &t : m.find_surface("x1")->triangles)
    for (const unsigned v : t)
      on_side[key(m.points[v])] = v;
  for (const auto &[from, to] : {std::pair<std::string, std::string>{"z0", "talar"}, {"z1", "plateau"}, {"z1", "outer_proximal"}, {"x0", "outer_distal"}})
    m.surfaces.push_back({to, m.find_surface(from)->triangles});
  const unsigned offset = static_cast<unsigned>(m.points.size()), part = static_cast<unsigned>(m.parts.size());
  m.points.insert(m.points.end(), added.points.begin(), added.points.end());
  for (mesh::Tetrahedron t : added.tetrahedra)
  {
    for (unsigned &v : t)
      v += offset;
    m.tetrahedra.push_back(t);
    m.part.push_back(part);
  }
  m.parts.push_back("plate");
  m.component.push_back(2);
  const double middle = z_at(5, 0.5), clear = 2 * height / layers;
  for (const mesh::Triangle &t : added.find_surface("x0")->triangles)
  {
    mesh::FacePair tie;
    bool tied = true;
    for (int i = 0; i < 3; ++i)
    {
      const Vector3 &x = added.points[t[i]];
      tied = tied && std::abs(x.z() - middle) > 0.9 * clear;
      tie.a[i] = t[i] + offset;
      tie.b[i] = tied ? on_side.at(key(x)) : 0;
    }
    tie.part_a = part;
    tie.part_b = static_cast<unsigned>(m.find_part(added.points[t[0]].z() > middle ? "cortex_proximal" : "cortex_distal"));
    if (tied)
      m.threads.push_back(tie);
  }
  return construct;
}

inline ConstructMaterials plated_materials()
{
  ConstructMaterials m;
  m.cortex = m.cancellous = find_material("cortical_bone");
  m.plate = m.screw = find_material("steel_316l_cold_worked");
  m.bonded_threads = true;
  return m;
}
} // namespace stifle::solver
