// mesh/bone_lofts.h - skin and core of the bone of a scenario, parametric or from a scan, in the open Gmsh session
//   frame   unoperated tibia, mm;  errors  those of bone_shape.h and scan_bone.h
#pragma once
#include "mesh/scan_bone.h"

namespace stifle::mesh
{
int loft_skin(const Scenario &scenario, const Anatomy &anatomy);
struct BoneLofts
{
  int skin, core; ///< volume tags
};
BoneLofts loft_bone(const Scenario &scenario, const Anatomy &anatomy);

/// Lofts the bone of a scan in a session of its own; a line on how near it comes. Nothing for the parametric bone.
std::vector<std::string> check_bone(const Scenario &scenario, const Anatomy &anatomy);

/// The triangles of the bone cut at the plateau (`core`: of its core), edges of about `edge_mm`, outward; a session of its own.
TriangleSurface bone_surface(const Scenario &scenario, const Anatomy &anatomy, bool core, double edge_mm);
} // namespace stifle::mesh
