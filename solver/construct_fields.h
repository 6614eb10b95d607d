// solver/construct_fields.h - one solved state of a construct as a field file, and the forces of its cut
#pragma once
#include "solver/cut_faces.h"
#include "solver/plain_heads.h"

namespace stifle::solver
{
/// The jump is linear in a face, so the law fixes the cut's forces only against linear jumps. The nodal force is what the distal
/// elements need beyond their other loads (`nodal`), and opposite on the proximal side.
void add_cut_force(const Elasticity &elasticity, const CutFaces &cut, const PlainHeads &heads, const Vector &u, Vector &nodal);
/// `nodal`: every force on the elements at each node.
FieldData field_of(const Elasticity &elasticity, const RecoveredStress &stress, const Vector &u, const Vector &nodal);
} // namespace stifle::solver
