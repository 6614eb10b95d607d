#include "models/study/sampled_joint.h"
#include "models/joint/neutral.h"

namespace stifle
{
namespace
{
const double least_target = radians(-10), largest_target = radians(40); ///< as in neutral_plateau_angle
const double first_step = radians(2), look_up = radians(4), look_step = radians(0.5);

using Bracket = std::optional<std::pair<ThrustAt, ThrustAt>>;

/// Thrust at most 0 below and above 0 at the top; walks away from the guess in growing steps.
Bracket bracket(const ThrustCurve &curve, double guess_rad)
{
  double step = first_step;
  std::optional<ThrustAt> low = curve(std::max(least_target, guess_rad - step));
  std::optional<ThrustAt> high = curve(std::min(largest_target, guess_rad + step));
  while (low && high)
  {
    if (brackets(*low, *high))
      return std::pair(*low, *high);
    step *= 1.5;
    if (high->thrust_n <= 0 && high->target_rad < largest_target)
    {
      low = high;
      high = curve(std::min(largest_target, low->target_rad + step));
    }
    else if (low->thrust_n > 0 && low->target_rad > least_target)
    {
      high = low;
      low = curve(std::max(least_target, high->target_rad - step));
    }
    else
      return std::nullopt;
  }
  return std::nullopt;
}

/// The intact joint may fall from one cruciate into the other: then the thrust is not monotone, and the steepest root counts, as
/// in neutral_plateau_angle. Looks at every half degree above the bracket, and above the guess where the walk came down from it.
Bracket steepest(const ThrustCurve &curve, const std::pair<ThrustAt, ThrustAt> &ends, double guess_rad)
{
  ThrustAt above = ends.second;
  const double from = std::max(ends.second.target_rad, guess_rad + first_step);
  const double top = look_step * std::floor(from / look_step) + look_up;
  for (double angle = std::min(top, largest_target); angle > ends.first.target_rad; angle -= look_step)
  {
    const std::optional<ThrustAt> here = curve(angle);
    if (!here)
      return std::nullopt;
    if (here->thrust_n <= 0)
      return here->target_rad < above.target_rad ? Bracket(std::pair(*here, above)) : std::nullopt; // no thrust up to the top
    above = *here;
  }
  return std::pair(ends.first, above);
}

const Activity *activity_of(const SampledDog &dog, const StudyInstant &instant)
{
  return instant.set == LoadSet::stance ? find_activity(dog.activities, instant.activity) : nullptr;
}

/// Who reads the plateau too steep reads the tendon angle too large by as much, and advances for it.
void plan_on_film(Scenario &scenario, const Anatomy &anatomy, double observer_error_deg)
{
  AdvancementParameters &given = scenario.advancement;
  if (given.advancement_mm || given.spacer_mm || observer_error_deg == 0)
    return;
  const double true_rad = reduced_tendon_angle_rad(anatomy, radians(advancement_stifle_deg));
  given.advancement_mm = advancement_mm(anatomy.tendon_length_mm, true_rad + radians(observer_error_deg));
}
} // namespace

bool operator==(const StudyInstant &a, const StudyInstant &b)
{
  return a.set == b.set && a.activity == b.activity && a.percent == b.percent;
}

bool turns_plateau(const std::string &repair)
{
  const RepairKind kind = repair_kind(repair);
  return kind == RepairKind::levelling || kind == RepairKind::wedge;
}

SampledBone unoperated_bone(const SampledDog &dog)
{
  const Anatomy anatomy = make_anatomy(dog.scenario, dog.variation);
  return {dog.scenario, operate(anatomy, no_levelling(anatomy))};
}

SampledBone sampled_bone(const SampledDog &dog, const std::string &repair, double target_deg)
{
  const RepairKind kind = repair_kind(repair);
  const double true_deg = target_deg - dog.observer_error_deg;
  const bool turns = turns_plateau(repair);
  Scenario scenario = dog.scenario;
  if (!turns)
    scenario.tibia.plateau_angle_deg = true_deg;
  const Anatomy anatomy = make_anatomy(scenario, dog.variation);
  if (kind == RepairKind::advancement)
    plan_on_film(scenario, anatomy, dog.observer_error_deg);
  return {scenario, repaired(scenario, anatomy, kind, turns ? std::optional(radians(true_deg)) : std::nullopt)};
}

JointState solve_sampled(const SampledDog &dog, const SampledBone &bone, LigamentState ligament, const StudyInstant &instant)
{
  return solve_instant(bone.scenario, bone.bone, ligament, instant.set, activity_of(dog, instant), instant.percent);
}

namespace
{
std::optional<double> in_degrees(const std::optional<double> &angle_rad)
{
  return angle_rad ? std::optional(degrees(*angle_rad)) : std::nullopt;
}
} // namespace

std::optional<double> scanned_neutral_deg(const SampledDog &dog, const StudyInstant &instant)
{
  return in_degrees(neutral_plateau_angle(dog.scenario, make_anatomy(dog.scenario, dog.variation), instant.set,
                                          activity_of(dog, instant), instant.percent));
}

std::optional<double> sampled_neutral_deg(const SampledDog &dog, const StudyInstant &instant, double guess_deg)
{
  const Anatomy anatomy = make_anatomy(dog.scenario, dog.variation);
  const ThrustCurve curve = thrust_curve(dog.scenario, anatomy, instant.set, activity_of(dog, instant), instant.percent);
  if (const Bracket ends = bracket(curve, radians(guess_deg)))
    if (const Bracket first = steepest(curve, *ends, radians(guess_deg)))
      if (const std::optional<double> angle = thrust_root(curve, first->first, first->second))
        return in_degrees(angle);
  return scanned_neutral_deg(dog, instant);
}
} // namespace stifle
