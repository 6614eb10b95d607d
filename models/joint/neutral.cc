#include "models/core/error.h"
#include "models/joint/joint.h"
#include <optional>

namespace stifle
{
namespace
{
struct Sample
{
  double target_rad, achieved_rad, thrust_n;
};

std::optional<Sample> thrust_at(const Scenario &scenario, const Anatomy &anatomy, LoadSet set, const Activity *activity,
                                double percent, double target_rad)
{
  const OperatedAnatomy bone = operate(anatomy, plan_levelling(scenario, anatomy, target_rad));
  const JointState state = solve_instant(scenario, bone, LigamentState::intact, set, activity, percent);
  if (!state.converged)
    return std::nullopt;
  return Sample{target_rad, bone.levelling.achieved_angle_rad, state.thrust_n};
}

/// Thrust rises through zero: the sense in which a steeper plateau acts.
bool brackets(const std::optional<Sample> &a, const std::optional<Sample> &b)
{
  return a && b && a->thrust_n <= 0 && b->thrust_n > 0;
}

/// Regula falsi with a bisection every third step: the thrust is nearly linear in the angle. Empty when the sign changes in a
/// jump (the intact joint falls from one cruciate into the other) and not through zero.
template <class At> std::optional<double> root(const At &at, Sample low, Sample high)
{
  for (int i = 0; i < 60 && std::abs(high.target_rad - low.target_rad) > 1e-13; ++i)
  {
    const double part = i % 3 == 2 ? 0.5 : low.thrust_n / (low.thrust_n - high.thrust_n);
    const std::optional<Sample> middle = at(low.target_rad + part * (high.target_rad - low.target_rad));
    if (!middle)
      return std::nullopt;
    if (std::abs(middle->thrust_n) < 1e-9)
      return middle->achieved_rad;
    (middle->thrust_n > 0 ? high : low) = *middle;
  }
  return std::max(-low.thrust_n, high.thrust_n) < 1e-6 ? std::optional(low.achieved_rad) : std::nullopt;
}
} // namespace

StanceLoad load_of_instant(const Scenario &scenario, const OperatedAnatomy &bone, LoadSet set, const Activity *activity,
                           double percent)
{
  if (set != LoadSet::stance)
    return set_load(scenario, bone, set, radians(scenario.loads.stifle_angle_deg), scenario.loads.axial_force_n);
  if (!activity)
    throw Error("the set stance needs an activity");
  const StanceLoad load = stance_load(scenario, bone.anatomy, *activity, percent);
  return scenario.joint.dimension == 2 ? sagittal(load) : load;
}

JointState solve_instant(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, LoadSet set,
                         const Activity *activity, double percent)
{
  return solve_joint({scenario, bone, ligament, set, load_of_instant(scenario, bone, set, activity, percent)});
}

std::optional<double> neutral_plateau_angle(const Scenario &scenario, const Anatomy &anatomy, LoadSet set,
                                            const Activity *activity, double percent)
{
  const auto at = [&](double target_rad) { return thrust_at(scenario, anatomy, set, activity, percent, target_rad); };
  // From the steep side, as levelling goes: where thrust is not monotone, the first slope that frees the ligament counts.
  std::optional<Sample> low, high;
  for (double angle_deg = 40; angle_deg >= -10; angle_deg -= 0.25) // fine: a jump may hide between two roots
  {
    high = low;
    low = at(radians(angle_deg));
    if (!brackets(low, high))
      continue;
    if (const std::optional<double> angle = root(at, *low, *high))
      return angle;
  }
  return std::nullopt;
}
} // namespace stifle
