#include "models/study/sampled_joint.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double least_target_deg = -10, largest_target_deg = 40; ///< as in neutral_plateau_angle
constexpr double first_step_deg = 2, look_up_deg = 4, look_step_deg = 0.5, small_thrust_n = 1e-7;

struct ThrustAt
{
  double target_deg, achieved_deg, thrust_n;
};

/// Thrust of one dog against the levelling target.
class ThrustCurve
{
public:
  ThrustCurve(const SampledDog &dog, const StudyInstant &instant)
      : dog_(dog), instant_(instant), anatomy_(make_anatomy(dog.scenario, dog.variation))
  {
  }
  std::optional<ThrustAt> at(double target_deg) const
  {
    const OperatedAnatomy bone = operate(anatomy_, plan_levelling(dog_.scenario, anatomy_, radians(target_deg)));
    const JointState state = solve_sampled(dog_, {dog_.scenario, bone}, LigamentState::intact, instant_);
    if (!state.converged)
      return std::nullopt;
    return ThrustAt{target_deg, degrees(bone.levelling.achieved_angle_rad), state.thrust_n};
  }

private:
  const SampledDog &dog_;
  const StudyInstant &instant_;
  Anatomy anatomy_;
};

using Bracket = std::optional<std::pair<ThrustAt, ThrustAt>>;

/// Thrust at most 0 below and above 0 at the top; walks away from the guess in growing steps.
Bracket bracket(const ThrustCurve &curve, double guess_deg)
{
  double step = first_step_deg;
  std::optional<ThrustAt> low = curve.at(std::max(least_target_deg, guess_deg - step));
  std::optional<ThrustAt> high = curve.at(std::min(largest_target_deg, guess_deg + step));
  while (low && high)
  {
    if (low->thrust_n <= 0 && high->thrust_n > 0)
      return std::pair(*low, *high);
    step *= 1.5;
    if (high->thrust_n <= 0 && high->target_deg < largest_target_deg)
    {
      low = high;
      high = curve.at(std::min(largest_target_deg, low->target_deg + step));
    }
    else if (low->thrust_n > 0 && low->target_deg > least_target_deg)
    {
      high = low;
      low = curve.at(std::max(least_target_deg, high->target_deg - step));
    }
    else
      return std::nullopt;
  }
  return std::nullopt;
}

/// The intact joint may fall from one cruciate into the other: then the thrust is not monotone, and the steepest root counts, as
/// in neutral_plateau_angle. Looks at every half degree above the bracket, and above the guess where the walk came down from it.
Bracket steepest(const ThrustCurve &curve, const std::pair<ThrustAt, ThrustAt> &ends, double guess_deg)
{
  ThrustAt above = ends.second;
  const double top = std::floor(2 * std::max(ends.second.target_deg, guess_deg + first_step_deg)) / 2 + look_up_deg;
  for (double angle = std::min(top, largest_target_deg); angle > ends.first.target_deg; angle -= look_step_deg)
  {
    const std::optional<ThrustAt> here = curve.at(angle);
    if (!here)
      return std::nullopt;
    if (here->thrust_n <= 0)
      return here->target_deg < above.target_deg ? Bracket(std::pair(*here, above)) : std::nullopt; // no thrust up to the top
    above = *here;
  }
  return std::pair(ends.first, above);
}

/// Regula falsi; the end that stays twice counts half (Illinois rule). Empty when the thrust jumps over zero.
std::optional<double> root_deg(const ThrustCurve &curve, ThrustAt low, ThrustAt high)
{
  double weight_low = low.thrust_n, weight_high = high.thrust_n;
  int side = 0;
  for (int i = 0; i < 40; ++i)
  {
    const double part = weight_low / (weight_low - weight_high);
    const std::optional<ThrustAt> middle = curve.at(low.target_deg + part * (high.target_deg - low.target_deg));
    if (!middle)
      return std::nullopt;
    if (std::abs(middle->thrust_n) < small_thrust_n)
      return middle->achieved_deg;
    const bool above = middle->thrust_n > 0;
    (above ? high : low) = *middle;
    (above ? weight_high : weight_low) = middle->thrust_n;
    if (side == (above ? 1 : -1))
      (above ? weight_low : weight_high) /= 2;
    side = above ? 1 : -1;
  }
  return std::nullopt;
}

const Activity *activity_of(const SampledDog &dog, const StudyInstant &instant)
{
  return instant.set == LoadSet::stance ? find_activity(dog.activities, instant.activity) : nullptr;
}
} // namespace

bool operator==(const StudyInstant &a, const StudyInstant &b)
{
  return a.set == b.set && a.activity == b.activity && a.percent == b.percent;
}

bool can_sample(const std::string &repair) { return repair == "none" || repair == "levelling"; }

SampledBone unoperated_bone(const SampledDog &dog)
{
  const Anatomy anatomy = make_anatomy(dog.scenario, dog.variation);
  return {dog.scenario, operate(anatomy, no_levelling(anatomy))};
}

SampledBone sampled_bone(const SampledDog &dog, const std::string &repair, double target_deg)
{
  const double true_deg = target_deg - dog.observer_error_deg;
  if (repair == "none")
  {
    SampledDog other = dog;
    other.scenario.tibia.plateau_angle_deg = true_deg;
    return unoperated_bone(other);
  }
  if (repair != "levelling")
    throw Error(fmt::format("the study has no bone for the repair '{}'", repair));
  const Anatomy anatomy = make_anatomy(dog.scenario, dog.variation);
  return {dog.scenario, operate(anatomy, plan_levelling(dog.scenario, anatomy, radians(true_deg)))};
}

JointState solve_sampled(const SampledDog &dog, const SampledBone &bone, LigamentState ligament, const StudyInstant &instant)
{
  return solve_instant(bone.scenario, bone.bone, ligament, instant.set, activity_of(dog, instant), instant.percent);
}

std::optional<double> scanned_neutral_deg(const SampledDog &dog, const StudyInstant &instant)
{
  const std::optional<double> angle = neutral_plateau_angle(dog.scenario, make_anatomy(dog.scenario, dog.variation), instant.set,
                                                            activity_of(dog, instant), instant.percent);
  return angle ? std::optional(degrees(*angle) + dog.observer_error_deg) : std::nullopt;
}

std::optional<double> sampled_neutral_deg(const SampledDog &dog, const StudyInstant &instant, double guess_deg)
{
  const ThrustCurve curve(dog, instant);
  const double guess = guess_deg - dog.observer_error_deg;
  if (const Bracket ends = bracket(curve, guess))
    if (const Bracket first = steepest(curve, *ends, guess))
      if (const std::optional<double> angle = root_deg(curve, first->first, first->second))
        return *angle + dog.observer_error_deg;
  return scanned_neutral_deg(dog, instant);
}
} // namespace stifle
