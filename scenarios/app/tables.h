// scenarios/app/tables.h - construct.csv, cut.csv, screws.csv, margins.csv, summary.json; columns are the contract of design.md
#pragma once
#include "models/joint/joint.h"
#include "models/study/neutral_bands.h"
#include "scenarios/app/margin_rows.h"
#include <nlohmann/json_fwd.hpp>

namespace stifle::app
{
void write_construct_tables(const std::string &folder, const JudgedSlopes &judged);

struct PhaseTime
{
  std::string name;
  double      seconds = 0;
};

struct NeutralAngles
{
  std::vector<std::pair<std::string, std::optional<double>>> by_load_set;  ///< axial, tendon, press, stance; degrees
  std::vector<std::pair<std::string, std::optional<double>>> by_activity;  ///< at 50 % of stance; degrees
  std::vector<NeutralBand> bands; ///< with study.samples: of the same lines; degrees
  /// Band of the true slope of an activity or a load set; null when there is none.
  const Band *band(const std::string &line) const;
};

/// Label and source of everything the run used that is not a result, each key once.
std::vector<AssumptionRow> all_assumptions(const Scenario &scenario);

void write_summary(const std::string &folder, const Scenario &scenario, const NeutralAngles &neutral,
                   const JudgedSlopes &judged, const std::vector<PhaseTime> &phases);

/// Of summary.json: neutral slopes and their bands, least margins, closure.
nlohmann::ordered_json headline_json(const NeutralAngles &neutral, const JudgedSlopes &judged);
/// Slopes and states that failed; null when none did.
nlohmann::ordered_json errors_json(const std::vector<SlopeResult> &slopes);
/// Versions and assumptions.
void add_origin(nlohmann::ordered_json &summary, const Scenario &scenario);
} // namespace stifle::app
