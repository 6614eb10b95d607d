// mesh/improve.h - lifts the worst tetrahedra by moving nodes inside the bone
//   Nodes of the skin, threads, plate and screws stay; nodes of the cut slide on the saw cylinder; nodes between cortex
//   and core may move a little.
#pragma once
#include "mesh/tet_mesh.h"
#include "models/parts/levelling.h"

namespace stifle::mesh
{
/// `joined`: nodes shared everywhere. Moves free nodes of tetrahedra below `wanted_quality` where the worst of their
/// neighbours gains. Deterministic. Returns the number of nodes moved.
unsigned improve(TetMesh &joined, const Levelling &levelling, double wanted_quality);
} // namespace stifle::mesh
