#include "scenarios/app/stage_lines.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "models/core/text_width.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

using nlohmann::json;

namespace stifle::app
{
namespace
{
double rounded(double seconds) { return std::round(10 * seconds) / 10; }

/// Never 100 before the work is done.
int percent(const StageView &stage) { return static_cast<int>(std::floor(100 * stage.fraction() + 1e-9)); }
} // namespace

double StageView::fraction() const { return total > 0 ? std::clamp(done / total, 0.0, 1.0) : 1; }

std::optional<double> StageView::left_s() const
{
  const double worked = done - skipped;
  if (done >= total)
    return 0;
  if (!(worked > 0) || !(elapsed_s > 0))
    return std::nullopt;
  return elapsed_s / worked * (total - done);
}

std::string duration_text(double seconds)
{
  const long whole = std::lround(std::max(seconds, 0.0));
  if (seconds < 9.95)
    return fmt::format("{:.1f} s", std::max(seconds, 0.0));
  if (whole < 60)
    return fmt::format("{} s", whole);
  if (whole < 3600)
    return fmt::format("{} min {:02} s", whole / 60, whole % 60);
  return fmt::format("{} h {:02} min", whole / 3600, whole % 3600 / 60);
}

std::string live_line(const StageView &stage, int columns)
{
  const auto        left = stage.left_s();
  const std::string words = left ? "about " + duration_text(*left) + " left" : std::string("time left unknown");
  return cut_to_width(fmt::format("{:<9} {:>4} % {:>12}  {:<22} {}", stage.name, percent(stage), duration_text(stage.elapsed_s), words,
                                  stage.message),
                      columns);
}

std::string end_line(const StageView &stage)
{
  return cut_to_width(
      fmt::format("{:<9} {:>4} % {:>12}  {}", stage.name, percent(stage), duration_text(stage.elapsed_s), stage.message), page_columns);
}

json stage_event(const std::string &event, const StageView &stage)
{
  const auto left = stage.left_s();
  return {{"event", event},
          {"stage", stage.name},
          {"fraction", stage.fraction()},
          {"elapsed_s", rounded(stage.elapsed_s)},
          {"left_s", left ? json(rounded(*left)) : json(nullptr)},
          {"message", stage.message}};
}

json run_event(const std::string &event, const std::string &message)
{
  return {{"event", event},   {"stage", nullptr}, {"fraction", nullptr}, {"elapsed_s", rounded(elapsed_seconds())},
          {"left_s", nullptr}, {"message", message}};
}
} // namespace stifle::app
