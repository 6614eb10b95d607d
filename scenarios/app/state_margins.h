// scenarios/app/state_margins.h - the rules of models/margins/modes.h put on one state, and on the weeks of one slope
#pragma once
#include "models/margins/modes.h"
#include "scenarios/app/margin_rows.h"

namespace stifle::app
{
struct PlacedMargin
{
  Margin                 margin;
  std::optional<Vector3> place_mm;
};
Material material_of(const Scenario &scenario, const std::string &part);
/// Yield, strain of bone, pull-out and push-out of screws, tuberosity, opening of the cut, drift, ligaments, tendon, whole bone.
std::vector<PlacedMargin> state_margins(const Scenario &scenario, const SlopeResult &slope, const StateRow &state);
/// Plate, each screw and cortical bone; empty with fewer than two weeks or without an activity that the diary counts.
std::vector<PlacedMargin> fatigue_margins(const Scenario &scenario, const SlopeResult &slope);
} // namespace stifle::app
