#include "scenarios/app/margin_rows.h"
#include "models/margins/yield.h"
#include "models/parts/material.h"
#include <algorithm>

namespace stifle::app
{
bool is_metal(const std::string &part) { return part == "plate" || part.rfind("screw_", 0) == 0; }

namespace
{
Material material_of(const Scenario &scenario, const std::string &part)
{
  if (part == "plate")
    return find_material(scenario.plate.material);
  if (is_metal(part))
    return find_material(scenario.screws.material);
  return find_material(part.rfind("cortex", 0) == 0 ? "cortical_bone" : "cancellous_bone");
}

MarginRow yield_row(const Scenario &scenario, const SlopeResult &slope, const StateRow &state, const PartPeak &peak)
{
  const Material material = material_of(scenario, peak.part);
  MarginRow      row;
  row.plateau_angle_deg = slope.achieved_deg;
  row.week              = state.week;
  row.percent           = state.percent;
  row.activity          = state.activity;
  row.part              = peak.part;
  row.mode              = "yield";
  row.unit              = "MPa";
  row.demand            = peak.von_mises_mpa;
  row.capacity          = material.yield_mpa;
  row.margin            = yield_margin(row.capacity, row.demand);
  row.verdict           = row.margin ? verdict(*row.margin) : "";
  row.place_mm          = peak.place_mm;
  row.source            = material.label + ": " + material.source;
  return row;
}

bool smaller(const std::optional<double> &a, const std::optional<double> &b) { return a && (!b || *a < *b); }
} // namespace

std::vector<MarginRow> margin_rows(const Scenario &scenario, const SlopeResult &slope)
{
  std::vector<MarginRow> rows;
  for (const StateRow &state : slope.states)
    for (const PartPeak &peak : state.state.peaks)
    {
      if (peak.excluded)
        continue;
      const MarginRow row  = yield_row(scenario, slope, state, peak);
      const auto      same = std::find_if(rows.begin(), rows.end(), [&](const MarginRow &r) {
        return r.week == row.week && r.activity == row.activity && r.part == row.part;
      });
      if (same == rows.end())
        rows.push_back(row);
      else if (smaller(row.margin, same->margin))
        *same = row;
    }
  return rows;
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
