#include "scenarios/app/margin_rows.h"
#include "models/margins/yield.h"
#include "scenarios/app/state_margins.h"
#include <algorithm>

namespace stifle::app
{
bool is_metal(const std::string &part) { return part == "plate" || part.rfind("screw_", 0) == 0; }

namespace
{
bool smaller(const std::optional<double> &a, const std::optional<double> &b) { return a && (!b || *a < *b); }

MarginRow row_of(const SlopeResult &slope, const PlacedMargin &placed)
{
  const Margin &m = placed.margin;
  MarginRow     row;
  row.plateau_angle_deg = slope.achieved_deg;
  row.part              = m.part;
  row.mode              = m.mode;
  row.unit              = m.unit;
  row.demand            = m.demand;
  row.capacity          = m.capacity;
  row.margin            = yield_margin(m.capacity, m.demand);
  row.verdict           = row.margin ? verdict(*row.margin) : "";
  row.place_mm          = placed.place_mm;
  row.source            = m.label + ": " + m.source;
  return row;
}

/// Of the instants of a week and activity the one of least margin stays.
void keep_least(std::vector<MarginRow> &rows, const MarginRow &row)
{
  const auto same = std::find_if(rows.begin(), rows.end(),
                                 [&](const MarginRow &r)
                                 {
                                   return r.week == row.week && r.activity == row.activity && r.part == row.part &&
                                          r.mode == row.mode;
                                 });
  if (same == rows.end())
    rows.push_back(row);
  else if (smaller(row.margin, same->margin))
    *same = row;
}
} // namespace

std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope)
{
  std::vector<MarginRow> rows;
  for (const StateRow &state : slope.states)
    for (const PlacedMargin &placed : state_margins(scenario, slope, state))
    {
      MarginRow row = row_of(slope, placed);
      row.week      = state.week;
      row.activity  = state.activity;
      row.percent   = state.percent;
      keep_least(rows, row);
    }
  for (const PlacedMargin &placed : fatigue_margins(scenario, slope))
  {
    rows.push_back(row_of(slope, placed));
    rows.back().week     = slope.states.back().week;
    rows.back().activity = scenario.healing.diary;
  }
  return rows;
}

std::vector<MarginRow> least_by_mode(const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  std::vector<MarginRow> least;
  for (const SlopeResult &slope : slopes)
    for (const MarginRow &row : margin_rows(scenario, slope))
    {
      const auto same = std::find_if(least.begin(), least.end(), [&](const MarginRow &r) { return r.mode == row.mode; });
      if (row.margin && same == least.end())
        least.push_back(row);
      else if (row.margin && *row.margin < *same->margin)
        *same = row;
    }
  return least;
}

std::size_t least_margin_state(const Scenario &scenario, const std::vector<StateRow> &states)
{
  std::size_t           least = 0;
  std::optional<double> best;
  bool                  any_metal = false;
  for (const StateRow &state : states)
    for (const PartPeak &peak : state.state.peaks)
      any_metal |= is_metal(peak.part);
  for (std::size_t i = 0; i < states.size(); ++i)
    for (const PartPeak &peak : states[i].state.peaks)
    {
      if (peak.excluded || is_metal(peak.part) != any_metal)
        continue;
      const auto margin = yield_margin(material_of(scenario, peak.part).yield_mpa, peak.von_mises_mpa);
      if (smaller(margin, best))
      {
        best  = margin;
        least = i;
      }
    }
  return least;
}
} // namespace stifle::app
