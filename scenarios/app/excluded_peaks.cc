#include "scenarios/app/excluded_peaks.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
double kept_mpa(const ConstructState &state, const std::string &part)
{
  const PartPeak *kept = state.kept_peak(part);
  return kept ? kept->von_mises_mpa : 0;
}
} // namespace

std::vector<ExcludedPeak> excluded_peaks(const std::vector<SlopeResult> &slopes)
{
  std::vector<ExcludedPeak> all;
  for (const SlopeResult &slope : slopes)
    for (const StateRow &state : slope.states)
      for (const PartPeak &peak : state.state.peaks)
      {
        if (!peak.excluded)
          continue;
        const ExcludedPeak here = {peak.part, state.activity, peak.von_mises_mpa, kept_mpa(state.state, peak.part), slope.achieved_deg, state.week};
        const auto same = std::find_if(all.begin(), all.end(), [&](const ExcludedPeak &e) { return e.part == peak.part; });
        if (same == all.end())
          all.push_back(here);
        else if (here.mpa > same->mpa)
          *same = here;
      }
  return all;
}

std::string excluded_text(const std::vector<SlopeResult> &slopes)
{
  const std::vector<ExcludedPeak> all = excluded_peaks(slopes);
  if (all.empty())
    return "";
  std::string out = "Larger values at tied or re-entrant lines, where no mesh settles: not used for\n"
                    "margins, kept in construct.csv (excluded 1) and in the fields (von_mises_mpa)\n\n"
                    "Part                  there   used  Slope  Week Activity\n"
                    "                        MPa    MPa    deg\n";
  for (const ExcludedPeak &e : all)
    out += fmt::format("{:<20.20} {:>6.4g} {:>6.4g} {:>6.1f} {:>5g} {:.16}\n", e.part, e.mpa, e.kept_mpa, e.plateau_angle_deg, e.week,
                       e.activity);
  return out + "\n";
}
} // namespace stifle::app
