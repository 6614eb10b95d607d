#include "models/margins/fatigue.h"

#include "models/core/error.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <limits>

namespace stifle
{
namespace
{
constexpr double mpa_per_ksi = 6.895; // rounded as in construct.md 1.16; its constants have three digits

double above_zero(double value, const char *what)
{
  if (!std::isfinite(value) || !(value > 0))
    throw Error(fmt::format("fatigue: the {} must be finite and above 0, not {}", what, value));
  return value;
}

double at_least_zero(double value, const char *what)
{
  if (!std::isfinite(value) || value < 0)
    throw Error(fmt::format("fatigue: the {} must be finite and at least 0, not {}", what, value));
  return value;
}

/// The cycle that counts: mean not below 0.
Cycle judged(const Cycle &cycle)
{
  at_least_zero(cycle.amplitude_mpa, "amplitude");
  if (!std::isfinite(cycle.mean_mpa))
    throw Error(fmt::format("fatigue: the mean stress must be finite, not {}", cycle.mean_mpa));
  return {cycle.amplitude_mpa, std::max(0.0, cycle.mean_mpa)};
}

double linear_factor(const Cycle &cycle, double limit_mpa, double strength_mpa)
{
  const Cycle c = judged(cycle);
  const double use =
      c.amplitude_mpa / above_zero(limit_mpa, "fatigue limit") + c.mean_mpa / above_zero(strength_mpa, "static strength");
  return 1 / above_zero(use, "cycle");
}

/// Mean over ultimate strength, below 1.
double mean_share(const Cycle &cycle, double ultimate_mpa)
{
  const double share = cycle.mean_mpa / above_zero(ultimate_mpa, "ultimate strength");
  if (share >= 1)
    throw Error(fmt::format("fatigue: the mean stress, {} MPa, reaches the ultimate strength", cycle.mean_mpa));
  return share;
}
} // namespace

Cycle cycle_from_zero(double largest_mpa)
{
  if (!std::isfinite(largest_mpa))
    throw Error(fmt::format("fatigue: the largest stress must be finite, not {}", largest_mpa));
  const double half = std::max(0.0, largest_mpa) / 2;
  return {half, half};
}

double goodman_factor(const Cycle &cycle, double fatigue_limit_mpa, double ultimate_mpa)
{
  return linear_factor(cycle, fatigue_limit_mpa, ultimate_mpa);
}

double soderberg_factor(const Cycle &cycle, double fatigue_limit_mpa, double yield_mpa)
{
  return linear_factor(cycle, fatigue_limit_mpa, yield_mpa);
}

double gerber_factor(const Cycle &cycle, double fatigue_limit_mpa, double ultimate_mpa)
{
  const Cycle c = judged(cycle);
  const double a = c.amplitude_mpa / above_zero(fatigue_limit_mpa, "fatigue limit");
  const double m = c.mean_mpa / above_zero(ultimate_mpa, "ultimate strength");
  return 2 / above_zero(a + std::sqrt(a * a + 4 * m * m), "cycle"); // root of n a + (n m)^2 = 1
}

double goodman_amplitude(const Cycle &cycle, double ultimate_mpa)
{
  const Cycle c = judged(cycle);
  return c.amplitude_mpa / (1 - mean_share(c, ultimate_mpa));
}

double gerber_amplitude(const Cycle &cycle, double ultimate_mpa)
{
  const Cycle c = judged(cycle);
  const double share = mean_share(c, ultimate_mpa);
  return c.amplitude_mpa / (1 - share * share);
}

double swt_amplitude(const Cycle &cycle)
{
  const Cycle c = judged(cycle);
  return std::sqrt((c.amplitude_mpa + c.mean_mpa) * c.amplitude_mpa);
}

Basquin basquin_through(const LifePoint &a, const LifePoint &b, double life_decades_sd)
{
  for (const LifePoint &p : {a, b})
  {
    above_zero(p.amplitude_mpa, "amplitude of a point");
    above_zero(p.loadings, "loadings of a point");
  }
  const double exponent = std::log(b.amplitude_mpa / a.amplitude_mpa) / std::log(b.loadings / a.loadings);
  if (!std::isfinite(exponent) || !(exponent < 0))
    throw Error("fatigue: of two points, the one of fewer loadings must have the larger amplitude");
  return {a.amplitude_mpa * std::pow(a.loadings, -exponent), exponent, at_least_zero(life_decades_sd, "spread of life")};
}

double reversals_coefficient_mpa(const Basquin &law) { return law.coefficient_mpa / std::pow(2, law.exponent); }

double basquin_life(const Basquin &law, double amplitude_mpa, double spreads)
{
  if (at_least_zero(amplitude_mpa, "amplitude") == 0)
    return std::numeric_limits<double>::infinity();
  if (!(law.exponent < 0) || !std::isfinite(spreads))
    throw Error("fatigue: Basquin's law needs an exponent below 0 and a finite number of spreads");
  const double middle = std::log10(amplitude_mpa / above_zero(law.coefficient_mpa, "coefficient")) / law.exponent;
  return std::pow(10, middle + spreads * law.life_decades_sd);
}

double life_decades_from_strength(double relative_spread, double exponent)
{
  if (!std::isfinite(exponent) || !(exponent < 0))
    throw Error(fmt::format("fatigue: Basquin's exponent must be below 0, not {}", exponent));
  return std::log10(1 + at_least_zero(relative_spread, "spread of the strength")) / -exponent;
}

double miner_usage(const std::vector<Loadings> &blocks)
{
  double usage = 0;
  for (const Loadings &block : blocks)
  {
    at_least_zero(block.count, "count of loadings");
    if (!(block.life > 0)) // infinite: no damage
      throw Error(fmt::format("fatigue: the life must be above 0, not {}", block.life));
    usage += block.count / block.life;
  }
  return usage;
}

double peterson_sensitivity(double ultimate_mpa, double radius_mm)
{
  const double a = 0.0254 * std::pow(2070 / above_zero(ultimate_mpa, "ultimate strength"), 1.8);
  return 1 / (1 + a / above_zero(radius_mm, "radius of the notch"));
}

double neuber_sensitivity(double ultimate_mpa, double radius_mm)
{
  const double s = above_zero(ultimate_mpa, "ultimate strength") / mpa_per_ksi;
  if (s > 250) // where the polynomial turns negative
    throw Error(fmt::format("fatigue: Neuber's polynomial has no meaning at {} MPa", ultimate_mpa));
  const double root = (0.246 - 3.08e-3 * s + 1.51e-5 * s * s - 2.67e-8 * s * s * s) * std::sqrt(25.4);
  return 1 / (1 + root / std::sqrt(above_zero(radius_mm, "radius of the notch")));
}

double notch_factor(double stress_concentration, double sensitivity)
{
  if (!std::isfinite(stress_concentration) || stress_concentration < 1 || !(sensitivity >= 0 && sensitivity <= 1))
    throw Error("fatigue: a notch needs a stress concentration of at least 1 and a sensitivity from 0 to 1");
  return 1 + sensitivity * (stress_concentration - 1);
}

double life_claim_stress(double stress_mpa, double surface_factor)
{
  if (!std::isfinite(stress_mpa) || !std::isfinite(surface_factor) || surface_factor < life_claim_factor)
    throw Error(fmt::format("fatigue: a life claim needs a finite stress and a factor of at least {} on it, not {}",
                            life_claim_factor, surface_factor));
  return stress_mpa * surface_factor;
}

int life_decade(double loadings) { return int(std::floor(std::log10(above_zero(loadings, "life")))); }

double bone_life(double microstrain, BoneSide side)
{
  if (at_least_zero(microstrain, "strain of the bone") == 0)
    return std::numeric_limits<double>::infinity();
  return side == BoneSide::tension ? 1.445e53 * std::pow(microstrain, -14.1) : 9.333e40 * std::pow(microstrain, -10.3);
}
} // namespace stifle
