// scenarios/app/stage_lines.h - what is said of a stage of a run: as a line of a terminal and as JSON (scenarios/README.md has the schema)
#pragma once
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>

namespace stifle::app
{
struct StageView
{
  std::string name, message;
  double      total   = 1; ///< units of work; what a unit is belongs to the stage
  double      done    = 0;
  double      skipped = 0; ///< part of `done` that took no time: finished by an earlier run, or not needed
  double      elapsed_s = 0;

  double                fraction() const; ///< 0 to 1
  std::optional<double> left_s() const;   ///< at the rate measured so far; empty before any work was done
};

std::string duration_text(double seconds); ///< "3.2 s", "45 s", "1 min 05 s", "2 h 03 min"
/// "construct   42 %       12 s  about 17 s left     levelled to 6.0 deg: states", cut to the columns.
std::string live_line(const StageView &stage, int columns);
/// The same at the end, with what came of it; at most 80 columns.
std::string end_line(const StageView &stage);

/// event, stage, fraction, elapsed_s, left_s, message; of a stage.
nlohmann::json stage_event(const std::string &event, const StageView &stage);
/// The same six of the whole run: no stage, no fraction.
nlohmann::json run_event(const std::string &event, const std::string &message);
} // namespace stifle::app
