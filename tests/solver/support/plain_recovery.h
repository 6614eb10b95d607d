// tests/solver/support/plain_recovery.h - stress recovery and peaks written out plainly, one state, cell by cell with the shape functions of
// deal.II: what the recovery in blocks is checked and timed against. As the program had it until November 2026
#pragma once
#include "solver/construct_results.h"

namespace stifle::solver::plain
{
RecoveredStress       recover_stress(const Elasticity &elasticity, const Vector &u);
std::vector<PartPeak> rows(const Elasticity &elasticity, const PeakTable &table, const RecoveredStress &r);
} // namespace stifle::solver::plain
