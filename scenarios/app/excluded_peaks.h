// scenarios/app/excluded_peaks.h - names the peaks at excluded lines, so that none is left out without a word
#pragma once
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
struct ExcludedPeak ///< the largest of a part over all states of all slopes
{
  std::string part, activity;
  double      mpa = 0, kept_mpa = 0; ///< kept: the part's peak away from excluded lines in the same state
  double      plateau_angle_deg = 0, week = 0;
};
/// In the order in which the parts first come; parts without a larger value at an excluded line are absent.
std::vector<ExcludedPeak> excluded_peaks(const std::vector<SlopeResult> &slopes);
/// For the closing text, at most 80 columns; empty without such a peak.
std::string excluded_text(const std::vector<SlopeResult> &slopes);
} // namespace stifle::app
