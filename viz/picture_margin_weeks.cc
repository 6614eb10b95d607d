#include "models/core/error.h"
#include "models/margins/yield.h"
#include "models/parts/part_name.h"
#include "viz/margin_words.h"
#include "viz/picture.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1600, height = 980;

bool belongs(const std::string &part, const std::string &group)
{
  return group.empty() || is_metal(part) == (group == "metal");
}

/// Yield is that of the shafts of screws too.
bool wanted(const std::string &mode, const std::string &asked)
{
  return asked.empty() || mode == asked || (is_yield(asked) && is_yield(mode));
}

/// Rows of the wanted mode and group at one instant of stance: what runs over all weeks has no week to be drawn at.
std::vector<std::size_t> margin_rows(const TableRows &table, const MarginPicture &picture)
{
  std::vector<std::size_t> rows;
  for (const std::size_t r : table.at_slope({}, picture.plateau_angle_target_deg))
    if (wanted(table.word(r, "mode"), picture.mode) && table.number(r, "week") && table.number(r, "margin") &&
        table.number(r, "stance_percent") && belongs(table.word(r, "part"), picture.group))
      rows.push_back(r);
  return rows;
}

/// Over the weeks, the least margin of all parts and modes of this activity.
Series margin_curve(const TableRows &table, const std::vector<std::size_t> &rows, const std::string &activity)
{
  Series curve{spaced(activity), {}, {}};
  double lowest = 0;
  for (const std::size_t r : rows)
  {
    if (table.word(r, "activity") != activity)
      continue;
    const SeriesPoint point{*table.number(r, "week"), *table.number(r, "margin"), table.number(r, "low"), table.number(r, "high")};
    const auto same =
        std::find_if(curve.points.begin(), curve.points.end(), [&](const SeriesPoint &p) { return p.x == point.x; });
    if (same == curve.points.end())
      curve.points.push_back(point);
    else if (point.y < same->y)
      *same = point;
    if (!curve.note.empty() && point.y >= lowest)
      continue;
    lowest = point.y;
    curve.note = fmt::format("least {}: {}, {}", margin_words(lowest), spaced(table.word(r, "part")), spaced(table.word(r, "mode")));
  }
  std::sort(curve.points.begin(), curve.points.end(), [](const SeriesPoint &a, const SeriesPoint &b) { return a.x < b.x; });
  return curve;
}

struct Limit
{
  double margin, line_width;
  Dash dash;
  std::string words;
};

/// Lines across the plot, and what they mean below the key: beside the lines the words would lie on curves.
void draw_limits(Canvas &canvas, const Axes &axes, Pixel key)
{
  const Limit limits[] = {
      {adequate_margin, 1.8, Dash::dotted, fmt::format("{} from {:g} up", verdict(adequate_margin), adequate_margin)},
      {least_margin, 2.5, Dash::dashed, fmt::format("{} below {:g}", verdict(0), least_margin)}};
  for (const Limit &limit : limits)
  {
    if (limit.margin <= axes.y_max())
      canvas.line({axes.place(axes.x_min(), limit.margin), axes.place(axes.x_max(), limit.margin)}, ink, limit.line_width, limit.dash);
    canvas.line({key, key + Pixel(90, 0)}, ink, limit.line_width, limit.dash);
    canvas.text(key + Pixel(105, 0), limit.words, {19, ink, AlignX::left, AlignY::centre});
    key.y() -= 36;
  }
}

/// "yield of metal", "all modes".
std::string subject(const MarginPicture &picture)
{
  return (picture.mode.empty() ? "all modes" : spaced(picture.mode)) + (picture.group.empty() ? "" : " of " + picture.group);
}

void draw_margins(const MarginPicture &picture, std::vector<Series> curves)
{
  Canvas canvas(width, height);
  const bool bands = has_band(curves);
  for (std::size_t i = 0; i < curves.size() && bands; ++i)
  {
    curves[i].whiskers = true;
    curves[i].shift = 9 * (double(i) - 0.5 * double(curves.size() - 1));
  }
  SheetWords words{"Margin over the weeks of healing: " + subject(picture),
                   {fmt::format("plateau levelled to {:g}\u00b0; least over the parts{}; capacity over demand, below {:g} it fails",
                                picture.plateau_angle_target_deg, picture.mode.empty() ? " and over all modes but fatigue" : "", least_margin)},
                   picture.caution};
  if (bands)
    words.lines.push_back("bars: 5 to 95 % of the draws, at the states of least margin; curves stand side by side at each week");
  draw_sheet(canvas, words);
  const Axes axes = log_series_axes({150, 120 + caution_room}, {width - 515.0, height - 20 - sheet_head(words)}, curves, least_margin);
  axes.draw(canvas, "weeks after the operation", "margin (capacity over demand)");
  const double key_left = width - 485.0, key_end = draw_series_key(canvas, {key_left, axes.place(0, axes.y_max()).y() - 20}, 475, curves);
  draw_limits(canvas, axes, {key_left, key_end - 20});
  draw_series(canvas, axes, curves);
  canvas.save(picture.png);
}
} // namespace

bool draw_margin_weeks(const MarginPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/margins.csv", why,
                     [&]
                     {
                       const TableRows table(picture.folder + "/margins.csv");
                       const auto rows = margin_rows(table, picture);
                       std::vector<Series> curves;
                       for (const std::string &activity : table.words(rows, "activity"))
                         if (Series curve = margin_curve(table, rows, activity); curve.points.size() > 1)
                           curves.push_back(std::move(curve));
                       if (curves.empty())
                         throw Error("no margin of " + subject(picture) + " at two or more weeks");
                       draw_margins(picture, std::move(curves));
                     });
}
} // namespace stifle::viz
