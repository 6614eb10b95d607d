// tests/support/plain_stiffness.h - K u = f of a field file from its own arrays, with no line of the solver
//   An independent assembly of straight quadratic tetrahedra: closed-form gradients of the shape functions, four-point rule
//   (exact: the strain energy density is quadratic in a cell). Used on hand-made fields and on the files of a run.
//   source  shape functions L(2L-1), 4 Li Lj; any textbook on finite elements, e.g. Zienkiewicz & Taylor vol. 1, ch. 8
#pragma once
#include "solver/results.h"

/// Largest |K u - f| over all nodes (`node` joins the copies) divided by the largest |f|; every cell takes u at its own
/// points, so copies of a node that moved apart show up as well. Infinity when all forces are zero.
double worst_unbalanced(const stifle::FieldData &field);

/// K u of one cell, N: ten nodes by three components.
std::array<stifle::Vector3, 10> cell_forces(const stifle::FieldData &field, std::size_t cell);
