// models/joint/equilibrium.h - place of the femur and tendon force at which tibia + foot are in balance
//   method  march along the chord from a start in the direction of the unbalanced force (what a joint does when a ligament is
//           cut: continuation that cannot jump over a stable pose), balancing normal force and moment on the way; then
//           Newton with exact derivatives and line search on all unknowns
#pragma once
#include "models/joint/balance.h"

namespace stifle
{
struct Equilibrium
{
  double t_mm = 0, n_mm = 0, tendon_n = 0;
  bool converged = false;
  bool clipped = false; ///< the tendon would have to push: set to 0, the moment is not balanced
  int iterations = 0;   ///< Newton steps, all stages
  double residual_n = 0;
  std::vector<double> residuals_n; ///< of the last Newton, for the test of its rate
};

/// `start_mm`: place on the chord where the march begins. Never throws on non-convergence.
Equilibrium find_equilibrium(const BalanceSetup &setup, double start_mm);

/// Newton with line search from a given pose on the unknowns named true (t, n, tendon force) and the equations of the same
/// index. For find_equilibrium and the test of the rate.
Equilibrium newton(const BalanceSetup &setup, Equilibrium from, const std::array<bool, 3> &active);
} // namespace stifle
