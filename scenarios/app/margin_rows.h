// scenarios/app/margin_rows.h - step 7: margins against yield, per plateau angle x week x activity x part x mode
//   margin = capacity / demand, empty when the demand is 0; the instant of stance with the least margin is kept
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"
#include <optional>

namespace stifle::app
{
struct MarginRow
{
  double                plateau_angle_deg = 0, week = 0, percent = 0;
  std::string           activity, part, mode, unit, verdict, source;
  double                demand = 0, capacity = 0;
  std::optional<double> margin;
  Vector3               place_mm = Vector3::Zero();
};
std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope);
/// Plate and screws; everything else is bone.
bool is_metal(const std::string &part);
/// Index of the state with the least margin (metal parts first: plate and screws; bone when there is no plate).
std::size_t least_margin_state(const Scenario &scenario, const std::vector<StateRow> &states);
} // namespace stifle::app
