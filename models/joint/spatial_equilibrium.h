// models/joint/spatial_equilibrium.h - pose of the femur and tendon force at which tibia + foot are in balance
//   method  Newton with exact derivatives and line search; where that stalls, damped steps first: the femur is let go in a viscous
//           medium (implicit Euler, step grown as the unbalanced force falls), which follows what a real joint would do
//   no pose the femur let go slowly, no step longer than 0.3 mm, runs off the plateau: the joint dislocates. A search that ends
//           elsewhere has failed and says nothing about the joint.
//   source  pseudo-transient continuation: Kelley and Keyes 1998 (memory)
#pragma once
#include "models/joint/spatial_balance.h"
#include <array>
#include <functional>

namespace stifle
{
/// Unknowns that may move; the equations of the same index must hold.
using SpatialMask = std::array<bool, 7>;

struct SpatialEquilibrium
{
  Vector7 unknowns = Vector7::Zero();
  bool converged = false;
  bool clipped = false;   ///< the tendon would have to push: set to 0, the moment about the flexion axis is not balanced
  int iterations = 0;     ///< all stages
  double residual_n = 0;
  std::vector<double> residuals_n; ///< of the last Newton, for the test of its rate
  std::string reason;              ///< why it did not converge
  bool dislocates = false;         ///< not converged, and let go slowly it runs off the plateau (let_go_slowly)
  std::string way_off;             ///< which way it runs: caudally, cranially, sideways, turning
};

/// Unloaded reference pose with the condyles lightly pressed in.
Vector7 reference_unknowns(const SpatialSetup &setup);
/// Never throws on non-convergence.
SpatialEquilibrium find_spatial_equilibrium(const SpatialSetup &setup, const Vector7 &start);
/// The last resort: follows the femur from `start` in a viscous medium in short steps, to the balance it comes to or off the
/// plateau (`dislocates`).
SpatialEquilibrium let_go_slowly(const SpatialSetup &setup, const Vector7 &start);
/// False when the pose would run away from this balance: determinant of the pose's stiffness, tendon and patella following, below 0.
bool is_stable(const SpatialSetup &setup, SpatialBalance balance, bool tendon_free);
/// What moves: the tendon only when it is free, the rotation unless the rig holds it.
SpatialMask moving_unknowns(const SpatialSetup &setup, bool tendon_free);
/// Continuation: `at(part)` is the case for part 0 to 1, `at(1)` = `target`; steps grow and shrink with success. `what` grows with
/// the part ("load", "cut"): for the reason of a failure.
SpatialEquilibrium follow_path(const SpatialSetup &target, const std::function<SpatialSetup(double)> &at, const Vector7 &start,
                               const std::string &what);
/// Newton with line search alone.
SpatialEquilibrium spatial_newton(const SpatialSetup &setup, const Vector7 &start, const SpatialMask &active);
} // namespace stifle
