// mesh/split_mesh.h - from one conforming mesh to components with doubled nodes, face pairs, surfaces and excluded lines
//   A triangle between two components is a pair: of the cut (bone on bone), of a thread (screw on bone), of a plate that presses
//   on the bone, or of a plain screw's seat in the plate. A triangle of one
//   tetrahedron only is skin, plateau, talar patch, free cut face or implant, told apart by where it lies.
#pragma once
#include "mesh/implant_fit.h"
#include "mesh/tet_mesh.h"
#include <map>
#include <set>

namespace stifle::mesh
{
/// Component of a part by its name: 0 *_proximal, 1 *_distal, 2 plate and screws (plain screws become 3 on splitting).
unsigned component_of(const std::string &part);

/// `joined`: nodes shared everywhere. Surfaces: plateau, talar, outer_proximal and outer_distal (skin without plateau,
/// talar patch and cut), cut_free_proximal, cut_free_distal (cut faces without partner), plate_outer (free faces of the
/// plate), screw_outer, screw_end (both sides of a screw's flat end in the bone: touching, not tied), plate_strip (both
/// sides of plate on bone where a corner lies on the cut: a node cannot follow two segments, so a strip of one element is left
/// free; and the steps of the cut). `loose`: names of the plain screws; `axes`: direction of the screws that do not run along y.
TetMesh split_components(const TetMesh &joined, const Anatomy &anatomy, const Levelling &levelling,
                         const std::set<std::string> &loose = {}, const std::map<std::string, Vector3> &axes = {});
} // namespace stifle::mesh
