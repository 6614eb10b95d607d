// models/joint/neutral.h - the thrust of one intact joint against the levelling target, and its root between two targets
//   units   radians, N
//   errors  Error when a target cannot be cut
#pragma once
#include "models/joint/joint.h"
#include <functional>

namespace stifle
{
struct ThrustAt
{
  double target_rad, achieved_rad, thrust_n;
};
/// Empty where the pose is not found.
using ThrustCurve = std::function<std::optional<ThrustAt>(double target_rad)>;

/// The arguments must outlive the curve; `activity` is null outside the set stance.
ThrustCurve thrust_curve(const Scenario &scenario, const Anatomy &anatomy, LoadSet set, const Activity *activity, double percent);
/// Thrust rises through zero from `low` to `high`: the sense in which a steeper plateau acts.
bool brackets(const ThrustAt &low, const ThrustAt &high);
/// Achieved angle at which the thrust vanishes between two bracketing targets; regula falsi, an end that stays twice counts half
/// (Illinois rule). Empty when the sign changes in a jump (the intact joint falls from one cruciate into the other).
std::optional<double> thrust_root(const ThrustCurve &curve, ThrustAt low, ThrustAt high);
} // namespace stifle
