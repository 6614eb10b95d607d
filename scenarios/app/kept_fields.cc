#include "scenarios/app/kept_fields.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>

namespace stifle::app
{
namespace
{
std::string padded(double value, int width)
{
  return value == std::round(value) ? fmt::format("{:0{}.0f}", value, width) : fmt::format("{:0{}.2f}", value, width + 3);
}

/// One state a week: the activity and instant of the largest hock force.
std::vector<std::size_t> one_a_week(const std::vector<StateRow> &states)
{
  const auto &top = *std::max_element(states.begin(), states.end(), [](const StateRow &a, const StateRow &b) {
    return a.limb.hock_force_n < b.limb.hock_force_n;
  });
  std::set<double>         seen;
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < states.size(); ++i)
    if (states[i].activity == top.activity && states[i].percent == top.percent && seen.insert(states[i].week).second)
      kept.push_back(i);
  return kept;
}
} // namespace

std::vector<std::size_t> kept_fields(const std::string &mode, const std::vector<StateRow> &states, std::size_t least)
{
  std::vector<std::size_t> kept;
  if (mode == "none" || states.empty())
    return kept;
  const bool all = mode == "all";
  const bool several_weeks = states.front().week != states.back().week; // week outermost
  if (!all && several_weeks)
    kept = one_a_week(states);
  for (std::size_t i = 0; i < states.size(); ++i)
    if (all || i == least)
      kept.push_back(i);
  std::sort(kept.begin(), kept.end());
  kept.erase(std::unique(kept.begin(), kept.end()), kept.end());
  return kept;
}

std::string field_path(const SlopeResult &slope, const StateRow &state)
{
  return fmt::format("fields/{}_{:+06.2f}_week_{}_{}_{}.vtu", slope.operated ? "levelled" : "unoperated", slope.target_deg,
                     padded(state.week, 2), state.activity, padded(state.percent, 3));
}
} // namespace stifle::app
