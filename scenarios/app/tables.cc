#include "scenarios/app/tables.h"
#include "models/core/files.h"
#include "models/core/peak_memory.h"
#include "models/parts/repair.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/cut_map.h"
#include "scenarios/app/table_cells.h"
#include "scenarios/app/versions.h"
#include <nlohmann/json.hpp>
#include <set>

namespace stifle::app
{
namespace
{
void add_state_key(Table &table, const SlopeResult &slope, const StateRow &row)
{
  table.begin_row();
  table.add(slope.achieved_deg);
  table.add(row.week);
  table.add(row.activity);
  table.add(row.percent);
}

std::string construct_csv(const std::vector<SlopeResult> &slopes)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "part", "peak_von_mises_mpa", "x_mm", "y_mm", "z_mm",
               "error_estimate_percent", "excluded", "peak_principal_strain", "volume_above_yield_mm3", "plateau_angle_target_deg"});
  for (const SlopeResult &slope : slopes)
    for (const StateRow &row : slope.states)
      for (const PartPeak &peak : row.state.peaks)
      {
        add_state_key(table, slope, row);
        table.add(peak.part);
        table.add(peak.von_mises_mpa);
        add_place(table, peak.place_mm);
        table.add(peak.error_estimate_percent);
        table.add(peak.excluded ? 1.0 : 0.0);
        // Strain and yielded volume belong to the part: they stand in its own row, not again beside an excluded peak.
        add_if(table, !peak.excluded, peak.principal_strain);
        add_if(table, !peak.excluded, peak.volume_above_yield_mm3);
        table.add(slope.target_deg);
      }
  return table.csv();
}

std::string cut_csv(const std::vector<SlopeResult> &slopes)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "contact_percent", "gap_opening_max_mm",
               "slip_max_mm", "plateau_drift_deg", "load_through_bone_percent", "plateau_angle_target_deg", "plate_contact_percent",
               "plate_contact_n", "cut_turn_deg"});
  for (const SlopeResult &slope : slopes)
    for (const StateRow &row : slope.states)
    {
      if (!slope.operated)
        continue;
      const CutResult &cut = row.state.cut;
      add_state_key(table, slope, row);
      table.add(cut.contact_percent);
      table.add(cut.gap_opening_max_mm);
      table.add(cut.slip_max_mm);
      table.add(cut.plateau_drift_deg);
      add_if(table, cut.load_percent_valid, cut.load_through_bone_percent);
      table.add(slope.target_deg);
      table.add(cut.plate_contact_percent);
      table.add(cut.plate_contact_n);
      table.add(cut.cut_turn_deg);
    }
  return table.csv();
}

void add_shaft(Table &table, const ScrewShaft *shaft)
{
  for (double ScrewShaft::*value : {&ScrewShaft::von_mises_mpa, &ScrewShaft::nominal_mpa, &ScrewShaft::outside_mm})
    add_optional(table, shaft ? std::optional(shaft->*value) : std::nullopt);
}

void add_segment(Table &table, const mesh::ScrewEngagement *hold)
{
  if (hold)
    table.add(hold->proximal ? "proximal" : "distal");
  else
    table.add_empty();
}

std::string screws_csv(const std::vector<SlopeResult> &slopes)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "screw", "axial_n", "shear_n", "bending_nmm",
               "plateau_angle_target_deg", "head_n", "shaft_von_mises_mpa", "shaft_nominal_mpa", "shaft_outside_mm", "segment"});
  for (const SlopeResult &slope : slopes)
    for (const StateRow &row : slope.states)
      for (const ScrewResult &screw : row.state.screws)
      {
        add_state_key(table, slope, row);
        table.add(screw.screw);
        table.add(screw.axial_n);
        table.add(screw.shear_n);
        table.add(screw.bending_nmm);
        table.add(slope.target_deg);
        table.add(screw.head_n);
        add_shaft(table, row.state.shaft(screw.screw));
        add_segment(table, slope.hold(screw.screw));
      }
  return table.csv();
}

std::string margins_csv(const std::vector<MarginRow> &margins)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "part", "mode", "demand", "capacity", "unit",
               "margin", "low", "high", "verdict", "x_mm", "y_mm", "z_mm", "source", "plateau_angle_target_deg"});
  for (const MarginRow &row : margins)
  {
    table.begin_row();
    table.add(row.plateau_angle_deg);
    table.add(row.week);
    table.add(row.activity);
    add_optional(table, row.percent);
    table.add(row.part);
    table.add(row.mode);
    table.add(row.demand);
    table.add(row.capacity);
    table.add(row.unit);
    for (const std::optional<double> &value : {row.margin, row.low, row.high})
      add_optional(table, value);
    table.add(row.verdict);
    add_place(table, row.place_mm);
    table.add(row.source);
    table.add(row.plateau_angle_target_deg);
  }
  return table.csv();
}

nlohmann::json neutral_json(const std::vector<std::pair<std::string, std::optional<double>>> &angles)
{
  nlohmann::json object = nlohmann::json::object();
  for (const auto &[name, angle] : angles)
    object[name] = angle ? nlohmann::json(*angle) : nlohmann::json(nullptr);
  return object;
}

/// Activity or load set to its band in degrees, measured: with the error of the observer; empty without study.samples.
nlohmann::ordered_json band_json(const NeutralAngles &neutral)
{
  const auto value = [](const std::optional<double> &v) { return v ? nlohmann::json(*v) : nlohmann::json(nullptr); };
  nlohmann::ordered_json object = nlohmann::ordered_json::object();
  for (const NeutralBand &band : neutral.bands)
    object[band.line] = {{"low", value(band.angle.low)},
                         {"median", value(band.angle.median)},
                         {"high", value(band.angle.high)},
                         {"measured_low", value(band.measured.low)},
                         {"measured_high", value(band.measured.high)},
                         {"samples", band.angle.samples},
                         {"failed", band.angle.failed}};
  return object;
}

nlohmann::json least_margin_json(const std::vector<MarginRow> &margins)
{
  nlohmann::json least = nlohmann::json::object();
  for (const MarginRow &row : least_by_mode(margins))
    least[row.mode] = {{"value", *row.margin},
                       {"part", row.part},
                       {"activity", row.activity},
                       {"week", row.week},
                       {"plateau_angle_deg", row.plateau_angle_deg}};
  return least;
}

/// Worst over the run; null when no construct was computed. Side force and the other two moments are carried, not balanced.
nlohmann::json closure_json(const std::vector<SlopeResult> &slopes)
{
  nlohmann::ordered_json closure = {{"force_percent", nullptr}, {"moment_percent", nullptr}};
  const auto             worst   = [&](const char *key, double value) {
    if (!closure.contains(key) || closure[key].is_null() || value > closure[key].get<double>())
      closure[key] = value;
  };
  for (const SlopeResult &slope : slopes)
    for (const StateRow &row : slope.states)
    {
      worst("force_percent", row.closure_force_percent);
      worst("moment_percent", row.closure_moment_percent);
      worst("side_force_n", std::abs(row.state.reaction_force_n.y()));
      worst("frontal_moment_nmm", std::abs(row.state.reaction_moment_nmm.x()));
      worst("axial_moment_nmm", std::abs(row.state.reaction_moment_nmm.z()));
    }
  return closure;
}
} // namespace

void write_construct_tables(const std::string &folder, const JudgedSlopes &judged)
{
  write_file(folder + "/construct.csv", construct_csv(judged.slopes));
  write_file(folder + "/cut.csv", cut_csv(judged.slopes));
  write_file(folder + "/cut_map.csv", cut_map_csv(judged.slopes));
  write_file(folder + "/screws.csv", screws_csv(judged.slopes));
  write_file(folder + "/margins.csv", margins_csv(judged.margins));
}

nlohmann::ordered_json headline_json(const NeutralAngles &neutral, const JudgedSlopes &judged)
{
  nlohmann::ordered_json headline;
  headline["neutral_plateau_angle_deg"] = neutral_json(neutral.by_load_set);
  headline["neutral_by_activity"]       = neutral_json(neutral.by_activity);
  headline["neutral_band"]              = band_json(neutral);
  headline["least_margin"]              = least_margin_json(judged.margins);
  headline["closure"]                   = closure_json(judged.slopes);
  return headline;
}

nlohmann::ordered_json errors_json(const std::vector<SlopeResult> &slopes)
{
  nlohmann::ordered_json errors;
  for (const SlopeResult &slope : slopes)
    if (!slope.error.empty())
      errors.push_back({{"plateau_angle_deg", slope.target_deg}, {"message", slope.error}});
  for (const SlopeResult &slope : slopes)
    for (const std::string &message : slope.failed_states)
      errors.push_back({{"plateau_angle_deg", slope.target_deg}, {"message", message}});
  return errors;
}

const Band *NeutralAngles::band(const std::string &line) const
{
  for (const NeutralBand &band : bands)
    if (band.line == line)
      return &band.angle;
  return nullptr;
}

std::vector<AssumptionRow> all_assumptions(const Scenario &scenario)
{
  std::vector<std::vector<AssumptionRow>> lists = {list_assumptions(scenario), anatomy_sources()};
  if (scenario.joint.dimension == 3)
    lists.push_back(joint_part_sources(scenario));
  if (has_repair(scenario, RepairKind::suture))
    lists.push_back(suture_sources());
  std::vector<AssumptionRow> all;
  std::set<std::string> keys;
  for (const std::vector<AssumptionRow> &list : lists)
    for (const AssumptionRow &row : list)
      if (keys.insert(row.key).second)
        all.push_back(row);
  return all;
}

void add_origin(nlohmann::ordered_json &summary, const Scenario &scenario)
{
  for (const auto &[name, version] : program_versions())
    summary["versions"][name] = version;
  summary["assumptions"] = nlohmann::ordered_json::array();
  for (const AssumptionRow &row : all_assumptions(scenario))
    summary["assumptions"].push_back({{"key", row.key}, {"label", row.label}, {"source", row.source}});
}

void write_summary(const std::string &folder, const Scenario &scenario, const NeutralAngles &neutral,
                   const JudgedSlopes &judged, const std::vector<PhaseTime> &phases)
{
  const std::vector<SlopeResult> &slopes = judged.slopes;
  nlohmann::ordered_json summary;
  summary["caution"] = caution();
  summary.update(headline_json(neutral, judged));
  summary["mesh"]                      = nlohmann::ordered_json::array();
  for (const SlopeResult &slope : slopes)
    if (slope.error.empty())
      summary["mesh"].push_back({{"plateau_angle_deg", slope.achieved_deg},
                                 {"tetrahedra", slope.tetrahedra},
                                 {"dofs", slope.dofs},
                                 {"worst_quality", slope.worst_quality},
                                 {"cut_area_mm2", slope.cut_area_mm2},
                                 {"chord_mm", slope.chord_mm},
                                 {"plateau_angle_measured_deg", slope.plateau_measured_deg}});
  summary["phases"] = nlohmann::ordered_json::array();
  for (const PhaseTime &phase : phases)
    summary["phases"].push_back({{"name", phase.name}, {"seconds", phase.seconds}});
  summary["peak_memory_mb"] = peak_memory_mb();
  add_origin(summary, scenario);
  if (const auto errors = errors_json(slopes); !errors.empty())
    summary["errors"] = errors;
  write_file(folder + "/summary.json", summary.dump(2) + "\n");
}
} // namespace stifle::app
