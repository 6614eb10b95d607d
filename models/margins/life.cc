#include "models/margins/life.h"

#include "models/core/error.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double days_a_week = 7;

void check(const std::vector<double> &weeks, const ActivityHistory &row)
{
  if (row.largest.size() != weeks.size() || row.loadings_per_day.size() != weeks.size())
    throw Error(fmt::format("fatigue: {} needs one value and one count for each week", row.activity));
  for (std::size_t i = 0; i < weeks.size(); ++i)
    if (!std::isfinite(row.largest[i]) || !std::isfinite(row.loadings_per_day[i]) || row.loadings_per_day[i] < 0)
      throw Error(
          fmt::format("fatigue: {} in week {} has a value that is not finite or a count below 0", row.activity, weeks[i]));
}

/// Integral over days of a quantity that is linear between the weeks.
double sum_over_time(const std::vector<double> &weeks, const std::vector<double> &value)
{
  double sum = 0;
  for (std::size_t i = 1; i < weeks.size(); ++i)
    sum += 0.5 * days_a_week * (weeks[i] - weeks[i - 1]) * (value[i - 1] + value[i]);
  return sum;
}

/// Loadings a day over life, each week; lowers `shortest` (0: none yet).
std::vector<double> damage_a_day(const ActivityHistory &row, const LifeLaw &life, double &shortest)
{
  std::vector<double> damage(row.largest.size(), 0);
  for (std::size_t i = 0; i < damage.size(); ++i)
    if (row.loadings_per_day[i] > 0)
    {
      const double to_failure = life(row.largest[i]);
      damage[i] = row.loadings_per_day[i] / to_failure;
      if (shortest == 0 || to_failure < shortest)
        shortest = to_failure;
    }
  return damage;
}

/// Time (days) at which the integral of a rate from `first` to `last` over `days` reaches `rest`.
double time_to(double rest, double first, double last, double days)
{
  const double slope = (last - first) / days; // first t + slope t^2 / 2 = rest, the smaller root, stable for slope 0
  return 2 * rest / (first + std::sqrt(std::max(0.0, first * first + 2 * slope * rest)));
}
} // namespace

Basquin metal_law(const Material &material)
{
  if (!(material.ultimate_mpa > 0) || !(material.fatigue_limit_mpa > 0))
    throw Error(fmt::format("fatigue: {} needs an ultimate strength and a fatigue limit", material.name));
  Basquin law = basquin_through({0.9 * material.ultimate_mpa, 1e3}, {material.fatigue_limit_mpa, 1e7});
  law.life_decades_sd = life_decades_from_strength(material.fatigue_limit_spread, law.exponent);
  return law;
}

LifeLaw metal_life(const Material &material, double spreads, double surface_factor)
{
  const Basquin law = metal_law(material);
  const double ultimate = material.ultimate_mpa;
  life_claim_stress(0, surface_factor); // refuses a factor below the rule
  return [=](double largest_mpa)
  {
    const Cycle cycle = cycle_from_zero(life_claim_stress(largest_mpa, surface_factor));
    if (largest_mpa >= ultimate || cycle.mean_mpa >= ultimate)
      return 1.0;
    return std::max(1.0, basquin_life(law, goodman_amplitude(cycle, ultimate), spreads));
  };
}

LifeLaw bone_life_law(BoneSide side)
{
  return [=](double microstrain) { return std::max(1.0, bone_life(microstrain, side)); };
}

FatigueUse fatigue_use(const std::vector<double> &weeks, const std::vector<ActivityHistory> &history, const LifeLaw &life)
{
  if (weeks.size() < 2)
    throw Error("fatigue: usage over time needs at least two weeks");
  for (std::size_t i = 0; i < weeks.size(); ++i)
    if (!std::isfinite(weeks[i]) || weeks[i] < 0 || (i > 0 && weeks[i] <= weeks[i - 1]))
      throw Error("fatigue: the weeks must be finite, at least 0 and rise");
  FatigueUse use;
  std::vector<double> rate(weeks.size(), 0);
  double worst = 0;
  for (const ActivityHistory &row : history)
  {
    check(weeks, row);
    const std::vector<double> here = damage_a_day(row, life, use.shortest_life);
    const double part = sum_over_time(weeks, here);
    use.loadings += sum_over_time(weeks, row.loadings_per_day);
    for (std::size_t i = 0; i < weeks.size(); ++i)
      rate[i] += here[i];
    if (part > worst)
    {
      worst = part;
      use.worst_activity = row.activity;
    }
  }
  for (std::size_t i = 1; i < weeks.size(); ++i)
  {
    const double days = days_a_week * (weeks[i] - weeks[i - 1]), more = 0.5 * days * (rate[i - 1] + rate[i]);
    if (!use.failure_week && use.usage + more >= 1)
      use.failure_week = weeks[i - 1] + time_to(1 - use.usage, rate[i - 1], rate[i], days) / days_a_week;
    use.usage += more;
  }
  if (use.usage > 0)
    use.decade = life_decade(use.loadings / use.usage);
  return use;
}
} // namespace stifle
