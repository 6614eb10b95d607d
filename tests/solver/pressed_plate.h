// tests/solver/pressed_plate.h - a bone of blocks with a cut, a plate and two screws on flat faces, split like a construct
//   frame   x across, y out of the bone, z up; bone 14 x 10 x 32 mm, cut across at z = -16, screws along y at z = -8 and -24 (core
//           2 x 2 mm, holes 6 x 6, heads 10 x 10 from the middle of the plate outwards), plate 3 mm thick on the face y = 10 or
//           1 mm off it. Every contact normal is y or z, so balances can be written down
#pragma once
#include "mesh/block.h"
#include "mesh/split_mesh.h"
#include "tests/solver/block_construct.h"

namespace stifle::solver
{
struct PlateShape
{
  bool presses = true, plain = true;
  double preload_n = 0, upper_compression_n = 0;
};

constexpr double bone_mm = 10, screw_z[2] = {-8, -24};

inline std::string pressed_part(const PlateShape &shape, const Vector3 &p)
{
  const double inner = shape.presses ? bone_mm : bone_mm + 1;
  const std::string bone = p.z() > -16 ? "cortex_proximal" : "cortex_distal";
  const double across = std::min(std::max(std::abs(p.x()), std::abs(p.z() - screw_z[0])),
                                 std::max(std::abs(p.x()), std::abs(p.z() - screw_z[1])));
  const std::string screw = p.z() > -16 ? "screw_1" : "screw_2";
  if (across < 1 && p.y() > 3 && (p.y() < inner + 1.5 || !shape.plain))
    return screw;
  if (p.y() < bone_mm)
    return bone;
  if (p.y() < inner || (shape.plain && across < 3 && p.y() < inner + 1.5))
    return ""; // stand-off, and the play of a plain screw in its hole
  return shape.plain && across < 5 && p.y() > inner + 1.5 ? screw : "plate";
}

inline Anatomy pressed_anatomy()
{
  Anatomy anatomy{};
  anatomy.hock_centre = Vector3(0, 5, -32);
  return anatomy;
}

inline mesh::ConstructMesh pressed_plate(const PlateShape &shape)
{
  const std::vector<double> x = {-7, -5, -3, -1, 1, 3, 5, 7}, z = {-32, -29, -27, -25, -23, -21, -19, -16, -13, -11, -9, -7, -5, -3, 0};
  std::vector<double> y = {0, 3, 6.5, bone_mm, bone_mm + 1.5, bone_mm + 3};
  if (!shape.presses)
    y = {0, 3, 6.5, bone_mm, bone_mm + 1, bone_mm + 2.5, bone_mm + 4};
  const auto map = [=](const Vector3 &r) { return Vector3(14 * r.x() - 7, y.back() * r.y(), 32 * r.z() - 32); };
  mesh::BlockOptions o;
  for (const double v : x)
    o.lines[0].push_back((v + 7) / 14);
  for (const double v : y)
    o.lines[1].push_back(v / y.back());
  for (const double v : z)
    o.lines[2].push_back((v + 32) / 32);
  o.cells = {{7, static_cast<unsigned>(y.size() - 1), 14}};
  o.map = map;
  o.part = [=](const Vector3 &r) { return pressed_part(shape, map(r)); };
  o.keep = [=](const Vector3 &r) { return !pressed_part(shape, map(r)).empty(); };
  mesh::ConstructMesh c;
  for (int k = 0; k < 2; ++k)
  {
    mesh::ConstructMesh::Screw s;
    s.name = k == 0 ? "screw_1" : "screw_2";
    s.head = Vector3(0, shape.presses ? bone_mm : bone_mm + 1, screw_z[k]);
    s.entry = Vector3(0, bone_mm, screw_z[k]);
    s.tip = Vector3(0, 3, screw_z[k]);
    s.proximal = k == 0;
    s.kind = shape.plain ? mesh::HoleKind::plain : mesh::HoleKind::locking;
    s.along = Vector3(0, 0, k == 0 ? -1 : 1);
    s.preload_n = shape.preload_n;
    s.compression_n = k == 0 ? shape.upper_compression_n : 0;
    c.screws.push_back(s);
  }
  c.mesh = mesh::split_components(mesh::block_mesh(o), pressed_anatomy(), Levelling(), c.screws);
  return c;
}

inline ConstructMaterials pressed_materials()
{
  ConstructMaterials m = block_materials();
  m.thread_depth_mm = 0.5;
  return m;
}
} // namespace stifle::solver
