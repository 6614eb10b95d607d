// models/margins/fatigue.h - fatigue of metals and of bone from plain numbers: mean stress, Basquin, Miner, notch, surface
//   units    MPa, mm, loadings; strain of bone in microstrain
//   cycle    amplitude >= 0 and mean; a compressive mean brings no benefit and counts as 0
//   errors   Error on NaN, infinity, a negative amplitude or count, a strength or size that is not above 0
//   source   construct.md 1.14 to 1.16 (formulas), section 6 (bone), section 9 (rule for life claims)
//   limits   Basquin holds from 1e3 to 1e7 loadings. A line through two points is a guess, not data (construct.md 1.15). No
//            endurance limit is credited: the line runs on beyond 1e7, so small cycles count (elementary Miner rule)
//   claims   a life claim multiplies the stress by at least 1.45 (life_claim_factor) for surface, fretting and mean stress and
//            gives the life as a decade, never as a number
#pragma once
#include <vector>

namespace stifle
{
struct Cycle
{
  double amplitude_mpa = 0, mean_mpa = 0;
};
/// A loading from 0 to `largest_mpa` and back: mean = amplitude = half. A largest stress below 0 opens no crack: no cycle.
Cycle cycle_from_zero(double largest_mpa);

/// Safety factors at constant ratio of amplitude to mean. `fatigue_limit_mpa`: fully reversed. No cycle at all: Error.
double goodman_factor(const Cycle &cycle, double fatigue_limit_mpa, double ultimate_mpa);
double soderberg_factor(const Cycle &cycle, double fatigue_limit_mpa, double yield_mpa);
double gerber_factor(const Cycle &cycle, double fatigue_limit_mpa, double ultimate_mpa);

/// Fully reversed amplitudes of the same damage, MPa. Error when the mean reaches the ultimate strength.
double goodman_amplitude(const Cycle &cycle, double ultimate_mpa);
double gerber_amplitude(const Cycle &cycle, double ultimate_mpa);
double swt_amplitude(const Cycle &cycle); ///< Smith, Watson, Topper: sqrt(largest * amplitude)

/// amplitude = coefficient * N^exponent
struct Basquin
{
  double coefficient_mpa = 0; ///< A
  double exponent = 0;        ///< b, below 0
  double life_decades_sd = 0; ///< spread: standard deviation of log10 N
};
struct LifePoint
{
  double amplitude_mpa = 0, loadings = 0;
};
/// Through two points; the one of fewer loadings must have the larger amplitude.
Basquin basquin_through(const LifePoint &a, const LifePoint &b, double life_decades_sd = 0);
/// Coefficient for (2N)^b instead of N^b: A / 2^b.
double reversals_coefficient_mpa(const Basquin &law);
/// Loadings to failure, at `spreads` standard deviations of log life from the middle (-2: nearly every specimen lives longer).
double basquin_life(const Basquin &law, double amplitude_mpa, double spreads = 0);
/// Spread of log10 N that a relative spread of the strength makes: log10(1 + spread) / |b|.
double life_decades_from_strength(double relative_spread, double exponent);

struct Loadings
{
  double count = 0, life = 0; ///< loadings done; loadings to failure at that stress
};
/// Miner: sum of count / life; failure at 1.
double miner_usage(const std::vector<Loadings> &blocks);

/// Steels; the constants are from memory (construct.md 1.16). Radius of the notch in mm.
double peterson_sensitivity(double ultimate_mpa, double radius_mm);
double neuber_sensitivity(double ultimate_mpa, double radius_mm);
double notch_factor(double stress_concentration, double sensitivity); ///< Kf = 1 + q (Kt - 1)

/// Smooth bars outlive plates about 36 times, equal to 1.45 in stress (construct.md section 9; judgement: assumption).
constexpr double life_claim_factor = 1.45;
/// Stress to judge a life by: `surface_factor` times the stress. Error below life_claim_factor.
double life_claim_stress(double stress_mpa, double surface_factor = life_claim_factor);
/// floor(log10 N): 4 means 10 000 to 100 000 loadings.
int life_decade(double loadings);

enum class BoneSide
{
  tension,
  compression
};
/// Cortical bone, human femur, 2 Hz (memory): N = 1.445e53 e^-14.1 in tension, 9.333e40 e^-10.3 in compression, e the range
/// of stress over the first modulus, microstrain. Infinite at 0.
double bone_life(double microstrain, BoneSide side);
} // namespace stifle
