#include "models/study/neutral_bands.h"
#include "models/core/error.h"
#include <cmath>

namespace stifle
{
namespace
{
constexpr double any_part = 1; ///< the band of those dogs that have such a slope

struct NeutralValue
{
  double true_deg = not_found, observer_error_deg = 0;
  Failure failure;
};

/// The line stance is a walk, whatever the activities are.
std::vector<Activity> with_walk(std::vector<Activity> activities)
{
  if (!find_activity(activities, "walk"))
    activities.push_back(activity_named("walk"));
  return activities;
}

NeutralValue value_of(const SampledDog &dog, const StudyInstant &instant, double guess_deg)
{
  NeutralValue value;
  value.observer_error_deg = dog.observer_error_deg;
  try
  {
    value.true_deg = sampled_neutral_deg(dog, instant, guess_deg).value_or(not_found);
    if (std::abs(value.true_deg) < 1e-6) // axial: as near as the root search goes
      value.true_deg = 0;
    value.failure.reason = "the thrust does not vanish between -10 and 40 deg";
  }
  catch (const Error &error) // this dog cannot be
  {
    value.failure.reason = error.what();
  }
  return value;
}

Band band_of(const NeutralLine &line, const std::vector<NeutralValue> &values, bool measured)
{
  Gathered gathered;
  for (const NeutralValue &v : values)
    gathered.add(v.true_deg + (measured ? v.observer_error_deg : 0), v.failure);
  Band band;
  static_cast<Spread &>(band) = gathered.spread(any_part);
  band.ligament = "intact";
  band.repair = "levelling";
  band.instant = line.instant;
  band.quantity =
      std::string("neutral_plateau_angle") + (line.hamstrings ? "" : "_without_hamstrings") + (measured ? "_measured" : "");
  band.unit = "deg";
  return band;
}
} // namespace

std::vector<NeutralLine> neutral_lines(const std::vector<Activity> &activities)
{
  std::vector<NeutralLine> lines;
  for (const LoadSet set : {LoadSet::axial, LoadSet::tendon, LoadSet::press})
    lines.push_back({to_string(set), {set, "", 0}});
  lines.push_back({to_string(LoadSet::stance), {LoadSet::stance, "walk", 50}, false});
  for (const Activity &activity : activities)
    lines.push_back({activity.name, {LoadSet::stance, activity.name, 50}});
  return lines;
}

std::vector<NeutralBand> sample_neutral_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                                              const std::vector<NeutralLine> &lines, const StudyOptions &options)
{
  if (scenario.study.samples < 1)
    return {};
  const std::vector<Activity> all = with_walk(activities);
  const Draws draws(scenario, all, options.inputs);
  ProgressCounter counter(options.progress, draws.size() * lines.size());
  std::vector<NeutralBand> bands;
  for (const NeutralLine &line : lines)
  {
    const auto held = [&](SampledDog dog) // hamstrings as in the number beside the band
    {
      dog.scenario.limb.hamstrings_n = line.hamstrings ? scenario.limb.hamstrings_n : 0;
      return dog;
    };
    const double guess = scanned_neutral_deg(held(nominal_dog(scenario, all)), line.instant).value_or(10);
    std::vector<NeutralValue> values(draws.size());
    for_each_index(draws.size(), options.threads,
                   [&](std::size_t sample)
                   {
                     values[sample] = value_of(held(draws.dog(sample)), line.instant, guess);
                     counter.add_one();
                   });
    bands.push_back({line.name, band_of(line, values, false), band_of(line, values, true)});
  }
  return bands;
}
} // namespace stifle
