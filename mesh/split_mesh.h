// mesh/split_mesh.h - from one conforming mesh to components with doubled nodes, face pairs, surfaces and excluded lines
//   A triangle between two components is a pair: of the cut (bone on bone), of a thread (screw on bone), of a plate that presses
//   on the bone, or of a plain screw's seat in the plate. A triangle of one
//   tetrahedron only is skin, plateau, talar patch, free cut face or implant, told apart by where it lies.
#pragma once
#include "mesh/construct.h"

namespace stifle::mesh
{
/// Component of a part by its name: 0 *_proximal, 1 *_distal, 2 plate and screws (plain screws become 3 on splitting).
unsigned component_of(const std::string &part);

/// `joined`: nodes shared everywhere. Surfaces: plateau, talar, outer_proximal and outer_distal (skin without plateau,
/// talar patch and cut), cut_free_proximal, cut_free_distal (cut faces without partner), plate_outer (free faces of the
/// plate), screw_outer, screw_end (both sides of a screw's flat end in the bone: touching, not tied), plate_strip (both
/// sides of plate on bone where a corner lies on the cut: a node cannot follow two segments, so a strip of one element is left
/// free; and the steps of the cut). Of `screws` name, kind, head and tip are read; every screw of the mesh is listed.
TetMesh split_components(const TetMesh &joined, const Anatomy &anatomy, const Levelling &levelling,
                         const std::vector<ConstructMesh::Screw> &screws);
} // namespace stifle::mesh
