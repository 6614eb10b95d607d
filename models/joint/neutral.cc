#include "models/joint/neutral.h"
#include "models/core/error.h"
#include <optional>

namespace stifle
{
namespace
{
constexpr double small_thrust_n = 1e-9; ///< a root
constexpr double rounding_n = 1e-6;     ///< both sides of a root that the pose's own tolerance blurs; a jump is larger
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

ThrustCurve thrust_curve(const Scenario &scenario, const Anatomy &anatomy, LoadSet set, const Activity *activity, double percent)
{
  return [&scenario, &anatomy, set, activity, percent](double target_rad) -> std::optional<ThrustAt>
  {
    const OperatedAnatomy bone = operate(anatomy, plan_levelling(scenario, anatomy, target_rad));
    const JointState state = solve_instant(scenario, bone, LigamentState::intact, set, activity, percent);
    if (!state.converged)
      return std::nullopt;
    return ThrustAt{target_rad, bone.levelling.achieved_angle_rad, state.thrust_n};
  };
}

bool brackets(const ThrustAt &low, const ThrustAt &high) { return low.thrust_n <= 0 && high.thrust_n > 0; }

std::optional<double> thrust_root(const ThrustCurve &curve, ThrustAt low, ThrustAt high)
{
  double weight_low = low.thrust_n, weight_high = high.thrust_n;
  int side = 0;
  for (int i = 0; i < 40; ++i)
  {
    const double part = weight_low / (weight_low - weight_high);
    const std::optional<ThrustAt> middle = curve(low.target_rad + part * (high.target_rad - low.target_rad));
    if (!middle)
      return std::nullopt;
    if (std::abs(middle->thrust_n) < small_thrust_n)
      return middle->achieved_rad;
    const bool above = middle->thrust_n > 0;
    (above ? high : low) = *middle;
    (above ? weight_high : weight_low) = middle->thrust_n;
    if (side == (above ? 1 : -1))
      (above ? weight_low : weight_high) /= 2;
    side = above ? 1 : -1;
  }
  return std::max(-low.thrust_n, high.thrust_n) < rounding_n ? std::optional(low.achieved_rad) : std::nullopt;
}

std::optional<double> neutral_plateau_angle(const Scenario &scenario, const Anatomy &anatomy, LoadSet set,
                                            const Activity *activity, double percent)
{
  const ThrustCurve curve = thrust_curve(scenario, anatomy, set, activity, percent);
  // From the steep side, as levelling goes: where thrust is not monotone, the first slope that frees the ligament counts.
  std::optional<ThrustAt> low, high;
  for (double angle_deg = 40; angle_deg >= -10; angle_deg -= 0.25) // fine: a jump may hide between two roots
  {
    high = low;
    low = curve(radians(angle_deg));
    if (!low || !high || !brackets(*low, *high))
      continue;
    if (const std::optional<double> angle = thrust_root(curve, *low, *high))
      return angle;
  }
  return std::nullopt;
}
} // namespace stifle
