#include "models/core/error.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 980;

/// One point a slope, the angle rising. Thrust is equal for intact and torn: the row that carries a band is taken.
void sort_and_merge(std::vector<SeriesPoint> &points)
{
  const auto lower = [](const SeriesPoint &a, const SeriesPoint &b)
  { return std::pair(std::round(a.x * 1e6), !a.low) < std::pair(std::round(b.x * 1e6), !b.low); };
  std::stable_sort(points.begin(), points.end(), lower);
  const auto same = [](const SeriesPoint &a, const SeriesPoint &b) { return std::abs(b.x - a.x) < 2e-6; };
  points.erase(std::unique(points.begin(), points.end(), same), points.end());
}

struct Neutral
{
  std::optional<double> angle, low, high; ///< degrees
};

/// As summary.json states it for mid-stance (it is found there, not read between the rows of a sweep); empty without the file.
Neutral stated_neutral(const ThrustPicture &picture, const std::string &activity)
{
  Neutral neutral;
  std::ifstream file(picture.folder + "/summary.json");
  const nlohmann::json summary = nlohmann::json::parse(file, nullptr, false);
  if (!summary.is_object() || picture.stance_percent != 50)
    return neutral;
  const std::string line = activity.empty() ? picture.load_set : activity;
  const auto number = [&](const nlohmann::json &object, const std::string &key) -> std::optional<double>
  { return object.is_object() && object.contains(key) && object[key].is_number() ? std::optional<double>(object[key]) : std::nullopt; };
  const auto part = [](const nlohmann::json &object, const std::string &key)
  { return object.is_object() ? object.value(key, nlohmann::json()) : nlohmann::json(); };
  neutral.angle = number(part(summary, activity.empty() ? "neutral_plateau_angle_deg" : "neutral_by_activity"), line);
  const nlohmann::json band = part(part(summary, "neutral_band"), line);
  neutral.low = number(band, "low");
  neutral.high = number(band, "high");
  return neutral;
}

std::string neutral_note(const Neutral &neutral)
{
  if (!neutral.angle)
    return "no neutral slope here";
  const auto degree = [](double angle) { return fmt::format("{:.1f}\u00b0", std::abs(angle) < 0.05 ? 0.0 : angle); };
  const std::string note = "neutral at " + degree(*neutral.angle);
  return neutral.low && neutral.high ? fmt::format("{} ({} to {})", note, degree(*neutral.low), degree(*neutral.high)) : note;
}

Series read_curve(const JointRows &rows, const ThrustPicture &picture, const std::string &repair, const std::string &activity)
{
  Series curve{activity.empty() ? picture.load_set : activity, {}, {}};
  RowKey key;
  key.repair = repair;
  key.load_set = picture.load_set;
  key.activity = activity;
  key.stance_percent = picture.stance_percent;
  const bool bands = rows.has("thrust_low_n") && rows.has("thrust_high_n");
  for (const std::size_t r : rows.find(key, true))
  {
    const auto angle = rows.number(r, "plateau_angle_deg"), thrust = rows.number(r, "thrust_n");
    if (!angle || !thrust)
      continue;
    curve.points.push_back({*angle, *thrust, {}, {}});
    const auto low = bands ? rows.number(r, "thrust_low_n") : std::nullopt,
               high = bands ? rows.number(r, "thrust_high_n") : std::nullopt;
    if (low && high)
      curve.points.back().low = low, curve.points.back().high = high;
  }
  sort_and_merge(curve.points);
  Neutral neutral;
  if (repair == "levelling")
    neutral = stated_neutral(picture, activity);
  if (!neutral.angle)
    neutral = {rising_zero(curve.points), {}, {}};
  curve.note = neutral_note(neutral);
  curve.mark = neutral.angle;
  return curve;
}

std::vector<Series> read_curves(const ThrustPicture &picture, std::string &repair)
{
  const JointRows rows(picture.folder + "/joint.csv");
  RowKey levelled;
  levelled.repair = "levelling";
  levelled.load_set = picture.load_set;
  levelled.stance_percent = picture.stance_percent;
  if (repair.empty())
    repair = rows.find(levelled, true).size() > 2 ? "levelling" : "none";
  std::vector<Series> curves;
  const std::vector<std::string> one{""};
  for (const std::string &activity : picture.load_set == "stance" ? picture.activities : one)
  {
    Series curve = read_curve(rows, picture, repair, activity);
    if (curve.points.size() > 1)
      curves.push_back(std::move(curve));
  }
  return curves;
}

void draw_neutral(Canvas &canvas, const Axes &axes, const Series &curve, std::size_t i)
{
  if (!curve.mark || *curve.mark < axes.x_min() || *curve.mark > axes.x_max()) // beyond the sweep: its note alone tells it
    return;
  const Pixel at = axes.place(*curve.mark, 0);
  canvas.line({at, axes.place(*curve.mark, axes.y_min())}, line_colours[i % line_colours.size()], 1.8, Dash::dotted);
  canvas.disc(at, 10, line_colours[i % line_colours.size()]);
  canvas.disc(at, 6, {{1, 1, 1}});
}

void draw_key(Canvas &canvas, const Axes &axes, const std::vector<Series> &curves)
{
  const double left = width - 370;
  double y = draw_series_key(canvas, {left, axes.place(0, axes.y_max()).y() - 20}, 350, curves);
  const TextStyle small{19, ink, AlignX::left, AlignY::centre};
  canvas.disc({left + 45, y}, 10, ink);
  canvas.disc({left + 45, y}, 6, {{1, 1, 1}});
  canvas.text({left + 105, y}, "neutral slope:", small);
  canvas.text({left + 105, y - 28}, "thrust vanishes", small);
  if (!has_band(curves))
    return;
  y -= 92;
  canvas.polygon(rectangle({left, y - 14}, {left + 90, y + 14}), ink, 0.16);
  canvas.text({left + 105, y}, "5 to 95 % of the", small);
  canvas.text({left + 105, y - 28}, "drawn dogs", small);
}

void draw(const ThrustPicture &picture, const std::vector<Series> &curves, const std::string &repair)
{
  Canvas canvas(width, height);
  SheetWords words{picture.title, {}, picture.caution};
  words.lines.push_back(picture.load_set == "stance" ? fmt::format("load set stance, {:g} % of stance", picture.stance_percent)
                                                     : "load set " + picture.load_set);
  draw_sheet(canvas, words);
  const Axes axes = series_axes({150, 120 + caution_room}, {width - 400.0, height - 20 - sheet_head(words)}, curves);
  axes.draw(canvas, repair == "none" ? "native plateau angle, degrees" : "plateau angle after levelling, degrees",
            "thrust, N  (above zero: drives the tibia cranially)");
  draw_series(canvas, axes, curves);
  for (std::size_t i = 0; i < curves.size(); ++i)
    draw_neutral(canvas, axes, curves[i], i);
  draw_key(canvas, axes, curves);
  canvas.save(picture.png);
}
} // namespace

bool draw_thrust(const ThrustPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/joint.csv", why,
                     [&]
                     {
                       std::string repair = picture.repair;
                       const std::vector<Series> curves = read_curves(picture, repair);
                       if (curves.empty())
                         throw Error("no rows of load set " + picture.load_set);
                       draw(picture, curves, repair);
                     });
}
} // namespace stifle::viz
