// mesh/collapse.h - removes slivers at the steps of the cut by merging two nodes of one short edge
//   Where an edge of one cut face crosses an edge of the other at a small angle, a wedge thinner than any element is left.
//   Merging its two sides moves the border there by less than `longest_mm`; volumes and pairs stay conforming.
#pragma once
#include "mesh/tet_mesh.h"
#include "models/parts/levelling.h"

namespace stifle::mesh
{
/// `joined`: nodes shared everywhere; only nodes on the saw cylinder are merged, and only when the worst quality around
/// them rises. Deterministic. Returns the number of merges.
unsigned collapse_slivers(TetMesh &joined, const Levelling &levelling, double wanted_quality, double longest_mm);
} // namespace stifle::mesh
