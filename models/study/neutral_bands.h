// models/study/neutral_bands.h - bands of the slopes at which the thrust vanishes
//   lines  axial, tendon, press, stance (walk, 50 %, no hamstrings), then every activity at 50 % with the scenario's hamstrings:
//          the lines of summary.json
//   two    neutral_plateau_angle: the true slope, so axial is 0 to 0; neutral_plateau_angle_measured: what an observer who
//          reads with an error of SD 0.8 deg must aim at
//   fails  a dog whose thrust does not vanish between -10 and 40 deg has no such slope: counted, and the band is that of the
//          dogs which have one, however few
#pragma once
#include "models/study/bands.h"

namespace stifle
{
struct NeutralLine
{
  std::string name;
  StudyInstant instant;
  bool hamstrings = true; ///< those of the scenario; false: none
};
std::vector<NeutralLine> neutral_lines(const std::vector<Activity> &activities);

struct NeutralBand
{
  std::string line;
  Band angle, measured; ///< degrees
};

/// In the order of the lines. Empty when study.samples is 0.
std::vector<NeutralBand> sample_neutral_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                                              const std::vector<NeutralLine> &lines, const StudyOptions &options);
} // namespace stifle
