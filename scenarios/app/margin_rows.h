// scenarios/app/margin_rows.h - step 7: every failure mode, per plateau angle x week x activity x part x mode
//   margin  capacity / demand, empty when the demand is 0; the instant of stance with the least margin is kept
//   order   week, activity (of the states), then part and mode as they come; the race of fatigue, which runs over all weeks, comes
//           last: its week is the last one, its activity the diary's name, it has no instant
//   collapse  with output.collapse: rows first_yield and collapse of the part construct, for the one state that was loaded further
//   rules   models/margins/modes.h; screws hold by the bone around their thread (mesh/engagement.h)
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"
#include <optional>

namespace stifle::app
{
struct MarginRow
{
  double                plateau_angle_deg = 0, plateau_angle_target_deg = 0, week = 0;
  bool                  operated = false;
  std::optional<double> percent;
  std::string           activity, part, mode, unit, verdict, source;
  double                demand = 0, capacity = 0;
  std::optional<double> margin, low, high; ///< band: margin_bands.h
  std::optional<Vector3> place_mm; ///< of a peak or a screw; none where the demand is one of the whole limb
};
std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope);

/// The slopes with their margins, in the order of the slopes: judged once for tables, summary and closing text.
struct JudgedSlopes
{
  std::vector<SlopeResult> slopes;
  std::vector<MarginRow>   margins;
};
JudgedSlopes judge(const Scenario &scenario, std::vector<SlopeResult> slopes);
/// The row of least margin of each mode over all slopes, in the order in which the modes first come.
std::vector<MarginRow> least_by_mode(const std::vector<MarginRow> &margins);
/// The state with the least margin against yield (metal parts first: plate and screws; bone when there is no plate).
struct LeastMarginState
{
  std::size_t           state = 0; ///< index
  std::optional<double> margin;    ///< empty: no state has one
};
LeastMarginState least_margin_state(const Scenario &scenario, const std::vector<StateRow> &states);
} // namespace stifle::app
