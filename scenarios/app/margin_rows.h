// scenarios/app/margin_rows.h - step 7: every failure mode, per plateau angle x week x activity x part x mode
//   margin  capacity / demand, empty when the demand is 0; the instant of stance with the least margin is kept
//   order   week, activity (of the states), then part and mode as they come; the race of fatigue, which runs over all weeks, comes
//           last: its week is the last one, its activity the diary's name, it has no instant
//   rules   models/margins/modes.h; screws hold by the bone around their thread (mesh/engagement.h)
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"
#include <optional>

namespace stifle::app
{
struct MarginRow
{
  double                plateau_angle_deg = 0, week = 0;
  std::optional<double> percent;
  std::string           activity, part, mode, unit, verdict, source;
  double                demand = 0, capacity = 0;
  std::optional<double> margin;
  std::optional<Vector3> place_mm; ///< of a peak or a screw; none where the demand is one of the whole limb
};
std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope);
/// The row of least margin of each mode over all slopes, in the order in which the modes first come.
std::vector<MarginRow> least_by_mode(const Scenario &scenario, const std::vector<SlopeResult> &slopes);
/// Plate and screws; everything else is bone.
bool is_metal(const std::string &part);
/// Index of the state with the least margin (metal parts first: plate and screws; bone when there is no plate).
std::size_t least_margin_state(const Scenario &scenario, const std::vector<StateRow> &states);
} // namespace stifle::app
