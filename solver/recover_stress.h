// solver/recover_stress.h - the error estimate of a cell, from its own and the recovered stress at its corners
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
/// Mean energy density (MPa) in a cell of a stress linear between its corners: the mass matrix of linear functions, (1 + [i = j]) / 20.
double mean_energy_density(const Elasticity &elasticity, std::size_t cell, const CornerStress &corners);
/// Recovered minus own stress.
CornerStress stress_error(const CornerStress &recovered, const CornerStress &own);
} // namespace stifle::solver
