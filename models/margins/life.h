// models/margins/life.h - race between healing and fatigue: usage over weeks as the stress falls and the diary loads the limb
//   in       weeks (rising); per activity and week the largest value of the instants (principal stress of metal, MPa, or strain
//            of bone, microstrain) and the loadings a day. One loading runs from 0 to that value and back
//   out      usage = Miner's sum over the weeks; failure at 1. Life as a decade of loadings of that mix of activities
//   rule     damage a day = sum of loadings a day / life; between two weeks it is taken linear in time (trapezoid). Damage falls
//            steeply as callus stiffens, so the chord lies above it: the usage is an upper bound, closer with more weeks
//   errors   Error on weeks that do not rise, fewer than two weeks, lists of different length, NaN, negative counts
//   source   design.md "Healing and diary"; laws: models/margins/fatigue.h
//   limits   order of loadings, growth of cracks and repair of bone are left out; a value in the mesh holds its notch already, so
//            no notch factor is put on it (sensitivity 1, upper bound)
#pragma once
#include "models/margins/fatigue.h"
#include "models/parts/material.h"
#include <functional>
#include <optional>

namespace stifle
{
/// Loadings to failure at a largest stress (MPa) or strain (microstrain).
using LifeLaw = std::function<double(double)>;

/// Basquin through 0.9 ultimate at 1e3 and the fatigue limit at 1e7; a guess, not data (construct.md 1.15). The spread of log
/// life comes from that of the limit. Error when the material has no ultimate strength or fatigue limit.
Basquin metal_law(const Material &material);
/// Cycle from 0, Goodman, on `surface_factor` times the stress; at least 1 loading, exactly 1 from the ultimate strength on.
LifeLaw metal_life(const Material &material, double spreads = 0, double surface_factor = life_claim_factor);
/// Cortical bone at a screw, range of strain from 0. The rule of 1.45 is for metal and not applied.
LifeLaw bone_life_law(BoneSide side);

/// One activity, one entry a week.
struct ActivityHistory
{
  std::string activity;
  std::vector<double> largest, loadings_per_day;
};

struct FatigueUse
{
  double usage = 0;
  double loadings = 0;                ///< in the whole time
  std::optional<int> decade;          ///< of loadings / usage; none without damage
  std::optional<double> failure_week; ///< where the sum reaches 1, if it does within the weeks
  std::string worst_activity;         ///< the largest part of the usage; "" without damage
  double shortest_life = 0;           ///< below 1e3 Basquin's law does not hold; 0 without any loading
};
FatigueUse fatigue_use(const std::vector<double> &weeks, const std::vector<ActivityHistory> &history, const LifeLaw &life);
} // namespace stifle
