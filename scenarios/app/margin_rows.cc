#include "scenarios/app/margin_rows.h"
#include "models/margins/yield.h"
#include "models/parts/part_name.h"
#include "scenarios/app/collapse_run.h"
#include "scenarios/app/state_margins.h"
#include <algorithm>

namespace stifle::app
{

namespace
{
bool smaller(const std::optional<double> &a, const std::optional<double> &b) { return a && (!b || *a < *b); }

MarginRow row_of(const SlopeResult &slope, const PlacedMargin &placed)
{
  const Margin &m = placed.margin;
  MarginRow     row;
  row.plateau_angle_deg        = slope.achieved_deg;
  row.plateau_angle_target_deg = slope.target_deg;
  row.operated                 = slope.operated;
  row.part                     = m.part;
  row.mode                     = m.mode;
  row.unit                     = m.unit;
  row.demand                   = m.demand;
  row.capacity                 = m.capacity;
  row.margin                   = yield_margin(m.capacity, m.demand);
  row.verdict                  = row.margin ? verdict(*row.margin) : "";
  row.place_mm                 = placed.place_mm;
  row.source                   = m.label + ": " + m.source;
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

void set_bands(std::vector<MarginRow> &rows, const std::vector<MarginBand> &bands)
{
  for (MarginRow &row : rows)
    for (const MarginBand &band : bands)
      if (row.margin && band.part == row.part && band.mode == row.mode && band.percent == row.percent &&
          (!row.percent || (band.week == row.week && band.activity == row.activity)))
      {
        row.low  = band.low;
        row.high = band.high;
      }
}

void add_collapse(std::vector<MarginRow> &rows, const SlopeResult &slope)
{
  if (!slope.collapse)
    return;
  for (const Margin &margin : collapse_margins(*slope.collapse))
  {
    rows.push_back(row_of(slope, {margin, std::nullopt}));
    rows.back().week     = slope.collapse->week;
    rows.back().activity = slope.collapse->activity;
    rows.back().percent  = slope.collapse->percent;
  }
}
} // namespace

std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope)
{
  std::vector<MarginRow> rows;
  if (slope.states.empty())
    return rows;
  for (const StateRow &state : slope.states)
    for (const PlacedMargin &placed : state_margins(scenario, slope, state))
    {
      MarginRow row = row_of(slope, placed);
      row.week      = state.week;
      row.activity  = state.activity;
      row.percent   = state.percent;
      keep_least(rows, row);
    }
  if (slope.states.back().week > slope.states.front().week)
    for (const PlacedMargin &placed : fatigue_margins(scenario, diary_of(scenario), slope.states))
    {
      rows.push_back(row_of(slope, placed));
      rows.back().week     = slope.states.back().week;
      rows.back().activity = scenario.healing.diary;
    }
  set_bands(rows, slope.bands);
  add_collapse(rows, slope);
  return rows;
}

JudgedSlopes judge(const Scenario &scenario, std::vector<SlopeResult> slopes)
{
  JudgedSlopes judged{std::move(slopes), {}};
  for (const SlopeResult &slope : judged.slopes)
  {
    const std::vector<MarginRow> rows = margin_rows(scenario, slope);
    judged.margins.insert(judged.margins.end(), rows.begin(), rows.end());
  }
  return judged;
}

std::vector<MarginRow> least_by_mode(const std::vector<MarginRow> &margins)
{
  std::vector<MarginRow> least;
  for (const MarginRow &row : margins)
  {
    const auto same = std::find_if(least.begin(), least.end(), [&](const MarginRow &r) { return r.mode == row.mode; });
    if (row.margin && same == least.end())
      least.push_back(row);
    else if (row.margin && *row.margin < *same->margin)
      *same = row;
  }
  return least;
}

LeastMarginState least_margin_state(const Scenario &scenario, const std::vector<StateRow> &states)
{
  LeastMarginState least;
  bool             any_metal = false;
  for (const StateRow &state : states)
    for (const PartPeak &peak : state.state.peaks)
      any_metal |= is_metal(peak.part);
  for (std::size_t i = 0; i < states.size(); ++i)
    for (const PartPeak &peak : states[i].state.peaks)
    {
      if (peak.excluded || is_metal(peak.part) != any_metal)
        continue;
      const auto margin = yield_margin(material_of(scenario, peak.part).yield_mpa, peak.von_mises_mpa);
      if (smaller(margin, least.margin))
        least = {i, margin};
    }
  return least;
}
} // namespace stifle::app
