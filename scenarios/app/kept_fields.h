// scenarios/app/kept_fields.h - which states of a slope leave a field file (key output.fields)
//   least_margin  the state of least margin; with several weeks also, in each week, the instant of the largest hock force of the
//                 slope over all weeks (the instant of cut_map.csv), so that the weeks compare
//   all           every state
//   none          no state
#pragma once
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
/// Indices of `states`, rising, each once; `least` is the state of least margin. Empty for no states.
std::vector<std::size_t> kept_fields(const std::string &mode, const std::vector<StateRow> &states, std::size_t least);

/// Relative to the results folder; weeks that are not whole keep their decimals, so that no two states share a name.
std::string field_path(const SlopeResult &slope, const StateRow &state);
} // namespace stifle::app
