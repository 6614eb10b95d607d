// models/limb/muscle_cap.h - the force above which a muscle state is flagged
//   rule    cap = stress x physiological cross-section; area of a 30 kg dog scaled with (mass / 30 kg)^(2/3)
//   units   N, MPa, mm2
//   source  joint.md section 6c: 0.25-0.30 N/mm2 (memory), "at least 17-20 cm2" (derived from 512 N of a trot); both upper ends,
//           so that a flag says: beyond what the sheet can vouch for. Scaling is an assumption (mass predicts areas poorly).
//   limits  quadriceps only: no area of the gastrocnemius is in the sheets. A state beyond the cap is flagged; it is neither
//           clipped nor extrapolated, and no statement about it follows.
#pragma once
#include "models/core/scenario.h"

namespace stifle
{
/// Largest quadriceps force, N.
double quadriceps_cap_n(const Scenario &scenario);
bool beyond_muscle_cap(const Scenario &scenario, double quadriceps_n);
/// "beyond_muscle_cap", else empty: the word for tables.
std::string muscle_flag(const Scenario &scenario, double quadriceps_n);
} // namespace stifle
