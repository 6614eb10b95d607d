// scenarios/app/state_margins.h - the rules of models/margins/modes.h put on one state, and on the weeks of one slope
#pragma once
#include "models/healing/diary.h"
#include "models/margins/strength_draw.h"
#include "scenarios/app/margin_rows.h"

namespace stifle::app
{
struct PlacedMargin
{
  Margin                 margin;
  std::optional<Vector3> place_mm;
};
Material material_of(const Scenario &scenario, const std::string &part);
/// What a drawn construct changes in the rules: strengths, and how fast its callus stiffens.
struct MarginDraw
{
  StrengthDraw strengths;
  double       callus_shift = 0;
};
/// Yield, shaft of screws, strain of bone, pull-out and push-out of screws, tuberosity, opening of the cut, drift, ligaments,
/// tendon, whole bone. The slope's own states are not looked at.
std::vector<PlacedMargin> state_margins(const Scenario &scenario, const SlopeResult &slope, const StateRow &state,
                                        const MarginDraw &draw = {});
/// Plate, each screw and its shaft, cortical bone, over the weeks of `states` (week outermost); empty with fewer than two weeks
/// or without an activity that the diary counts.
std::vector<PlacedMargin> fatigue_margins(const Scenario &scenario, const Diary &diary, const std::vector<StateRow> &states,
                                          const StrengthDraw &strengths = {});
} // namespace stifle::app
