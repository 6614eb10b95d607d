// tests/solver/block_construct.h - small blocks with a cut (and a plate) dressed as a construct, for tests of the solver
//   block   width x width x height mm, z up, cut across at `cut_height`, leaning by `slope` about y through the axis
#pragma once
#include "mesh/block.h"
#include "mesh/construct.h"
#include "solver/construct_model.h"

namespace stifle::solver
{
struct BlockShape
{
  double   width_mm = 6, height_mm = 8, slope_rad = 0;
  unsigned across = 2, up = 4, cut_layer = 2; ///< layers below the cut
  bool     mirrored = false;                  ///< y -> -y
  double   skew = 0;                          ///< makes the block lopsided in y, so that a mirror image differs
};

inline mesh::ConstructMesh block_construct(const BlockShape &shape)
{
  mesh::BlockOptions options;
  options.cells     = {{shape.across, shape.across, shape.up}};
  options.cut_layer = shape.cut_layer;
  options.part      = [](const Vector3 &) { return "cortex"; };
  options.map       = [shape](const Vector3 &r) {
    const double cut = static_cast<double>(shape.cut_layer) / shape.up;
    const double x = shape.width_mm * (r.x() - 0.5), y = shape.width_mm * (r.y() - 0.5) * (1 + shape.skew * r.y());
    // The lean fades towards both ends.
    const double fade = cut == 0 ? 0 : r.z() <= cut ? r.z() / cut : (1 - r.z()) / (1 - cut);
    const double z    = shape.height_mm * r.z() + std::tan(shape.slope_rad) * x * fade;
    return Vector3(x, shape.mirrored ? -y : y, z);
  };
  mesh::ConstructMesh construct;
  construct.mesh = mesh::block_mesh(options);
  for (const auto &[from, to] : {std::pair<std::string, std::string>{"z0", "talar"}, {"z1", "plateau"}, {"x1", "outer_distal"}})
    construct.mesh.surfaces.push_back({to, construct.mesh.find_surface(from)->triangles});
  construct.mesh.surfaces.push_back({"outer_proximal", construct.mesh.find_surface("z1")->triangles});
  return construct;
}

inline Anatomy block_anatomy()
{
  Anatomy anatomy{};
  anatomy.hock_centre = Vector3(0, 0, -10);
  return anatomy;
}

inline ConstructMaterials block_materials()
{
  Material bone;
  bone.modulus_mpa   = 1000;
  bone.poisson_ratio = 0.3;
  ConstructMaterials m;
  m.cortex = m.cancellous = bone;
  m.plate = m.screw    = bone;
  m.plate.modulus_mpa  = 10000;
  m.screw.modulus_mpa  = 10000;
  return m;
}

/// A load on the top face through `point`.
inline PointForce top_load(const Vector3 &point, const Vector3 &force)
{
  return {"contact_medial", point, force, true};
}
} // namespace stifle::solver
