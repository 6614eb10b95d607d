// mesh/improve.h - lifts the worst tetrahedra by moving nodes inside a component
//   Nodes of the skin, the cut, the threads and the plate stay; nodes between cortex and core may move a little.
#pragma once
#include "mesh/tet_mesh.h"

namespace stifle::mesh
{
/// `joined`: nodes shared everywhere. Moves free nodes of tetrahedra below `wanted_quality` where the worst of their
/// neighbours gains. Deterministic. Returns the number of nodes moved.
unsigned improve(TetMesh &joined, double wanted_quality);
} // namespace stifle::mesh
