#include "scenarios/app/refine_store.h"
#include "models/core/files.h"
#include "scenarios/app/table_cells.h"
#include "scenarios/app/vector_json.h"
#include <cmath>
#include <fmt/format.h>

namespace stifle::app
{
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(RefinedPeak, part, excluded, peak_mpa, refined_mpa, place_mm, refined_place_mm,
                                   error_estimate_percent, refined_error_estimate_percent)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(Refinement, achieved_deg, target_deg, week, percent, operated, activity, tetrahedra,
                                   refined_tetrahedra, drift_deg, refined_drift_deg, peaks, error)

std::string refine_csv(const Refinement &r)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "part", "peak_von_mises_mpa", "refined_peak_von_mises_mpa",
               "change_percent", "error_estimate_percent", "refined_error_estimate_percent", "excluded", "x_mm", "y_mm", "z_mm",
               "moved_mm", "plateau_angle_target_deg"});
  for (const RefinedPeak &peak : r.peaks)
  {
    table.begin_row();
    table.add(r.achieved_deg);
    table.add(r.week);
    table.add(r.activity);
    table.add(r.percent);
    table.add(peak.part);
    table.add(peak.peak_mpa);
    table.add(peak.refined_mpa);
    table.add(peak.change_percent());
    table.add(peak.error_estimate_percent);
    table.add(peak.refined_error_estimate_percent);
    table.add(peak.excluded ? 1.0 : 0.0);
    add_place(table, peak.place_mm);
    table.add((peak.refined_place_mm - peak.place_mm).norm());
    table.add(r.target_deg);
  }
  return table.csv();
}

std::string refinement_text(const Refinement &r, const std::string &fingerprint)
{
  return nlohmann::json{{"fingerprint", fingerprint}, {"refinement", r}}.dump() + "\n";
}

bool read_refinement(const std::string &text, const std::string &fingerprint, Refinement &r)
{
  const nlohmann::json file = nlohmann::json::parse(text, nullptr, false);
  if (!file.is_object() || file.value("fingerprint", "") != fingerprint || !file.contains("refinement"))
    return false;
  try
  {
    r = file.at("refinement").get<Refinement>();
    return r.error.empty();
  }
  catch (const nlohmann::json::exception &)
  {
    return false;
  }
}

std::string refine_text(const Refinement &r)
{
  if (!r.error.empty())
    return "Finer mesh: failed: " + r.error + "\n";
  std::string out = fmt::format("Finer mesh, worst state: slope {:.1f} deg, week {:g}, {}, {:g} % of stance\n"
                                "({} tetrahedra, then {}; refine.csv has all)\n\n"
                                "Part                  peak  finer   change  estimate\n"
                                "                       MPa    MPa        %         %\n",
                                r.achieved_deg, r.week, r.activity, r.percent, r.tetrahedra, r.refined_tetrahedra);
  double      largest = 0;
  std::string where;
  for (const RefinedPeak &peak : r.peaks)
  {
    if (peak.excluded)
      continue;
    out += fmt::format("{:<20.20} {:>5.3g} {:>6.3g} {:>+8.1f} {:>9.1f}\n", peak.part, peak.peak_mpa, peak.refined_mpa,
                       peak.change_percent(), peak.error_estimate_percent);
    if (std::abs(peak.change_percent()) > largest)
    {
      largest = std::abs(peak.change_percent());
      where   = peak.part;
    }
  }
  return out + fmt::format("Largest change {:.1f} % ({}); drift of the plateau {:.4f}, then {:.4f} deg\n", largest, where, r.drift_deg,
                           r.refined_drift_deg);
}
} // namespace stifle::app
