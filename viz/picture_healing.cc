#include "models/core/error.h"
#include "models/margins/yield.h"
#include "viz/bars.h"
#include "viz/picture.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 980;

/// Words of a column in the order of the file.
std::vector<std::string> words_of(const TableRows &table, const std::vector<std::size_t> &rows, const std::string &column)
{
  std::vector<std::string> words;
  for (const std::size_t r : rows)
    if (const std::string &word = table.word(r, column); std::find(words.begin(), words.end(), word) == words.end())
      words.push_back(word);
  return words;
}

/// Rows of the wanted slope.
std::vector<std::size_t> at_slope(const TableRows &table, const Filter &filter, double target_deg)
{
  return table.nearest(table.where(filter), "plateau_angle_target_deg", target_deg);
}

bool belongs(const std::string &part, const std::string &group)
{
  const bool metal = part == "plate" || part.rfind("screw_", 0) == 0;
  return group.empty() || metal == (group == "metal");
}

/// Over the weeks, the least margin of all parts of this activity.
Series margin_curve(const TableRows &table, const MarginPicture &picture, const std::string &activity)
{
  Series curve{spaced(activity), {}, {}};
  std::string part;
  double lowest = 0;
  for (const std::size_t r :
       at_slope(table, {{"mode", picture.mode}, {"activity", activity}}, picture.plateau_angle_target_deg))
  {
    const auto week = table.number(r, "week"), margin = table.number(r, "margin");
    if (!week || !margin || !belongs(table.word(r, "part"), picture.group))
      continue;
    const SeriesPoint point{*week, *margin, table.number(r, "low"), table.number(r, "high")};
    const auto same =
        std::find_if(curve.points.begin(), curve.points.end(), [&](const SeriesPoint &p) { return p.x == point.x; });
    if (same == curve.points.end())
      curve.points.push_back(point);
    else if (point.y < same->y)
      *same = point;
    if (part.empty() || *margin < lowest)
    {
      part = table.word(r, "part");
      lowest = *margin;
    }
  }
  std::sort(curve.points.begin(), curve.points.end(), [](const SeriesPoint &a, const SeriesPoint &b) { return a.x < b.x; });
  curve.note = part.empty() ? "" : fmt::format("least {:.2g}: {}", lowest, spaced(part));
  return curve;
}

void draw_limit(Canvas &canvas, const Axes &axes, double margin, double shift, const std::string &words)
{
  if (margin > axes.y_max())
    return;
  canvas.line({axes.place(axes.x_min(), margin), axes.place(axes.x_max(), margin)}, ink, 1.5, Dash::dashed);
  const Pixel end = axes.place(axes.x_max(), margin);
  canvas.text({end.x() - 8, end.y() + shift}, words, {17, ink, AlignX::right, AlignY::centre});
}

void draw_margins(const MarginPicture &picture, const std::vector<Series> &curves)
{
  Canvas canvas(width, height);
  const SheetWords words{fmt::format("Margin over the weeks of healing: {}{}", spaced(picture.mode), picture.group.empty() ? "" : " of " + picture.group),
                         {fmt::format("plateau levelled to {:g}\u00b0; least over the parts; capacity over demand, below 1 it fails",
                                      picture.plateau_angle_target_deg)},
                         picture.caution};
  draw_sheet(canvas, words);
  const Axes axes = series_axes({150, 120 + caution_room}, {width - 400.0, height - 20 - sheet_head(words)}, curves);
  axes.draw(canvas, "weeks after the operation", "margin (capacity over demand)");
  const bool close = axes.place(0, adequate_margin).y() - axes.place(0, least_margin).y() < 40; // no room between the lines
  draw_limit(canvas, axes, least_margin, -14, close ? "" : "overloaded below 1");
  draw_limit(canvas, axes, adequate_margin, 14, close ? "adequate from 1.5 up, overloaded below 1" : "adequate from 1.5 up");
  draw_series(canvas, axes, curves);
  draw_series_key(canvas, {width - 370.0, axes.place(0, axes.y_max()).y() - 20}, 350, curves);
  canvas.save(picture.png);
}

/// Percent of the axial load through the cut surface of the bone, and the rest through the plate.
BarChart through_the_cut(const TableRows &table, const LoadSharePicture &picture)
{
  BarChart bars;
  bars.low = {130, 190};
  bars.high = {760, height - 190.0};
  bars.title = "axial load across the cut";
  bars.y_title = "percent of the load";
  bars.kinds = {"bone", "plate"};
  bars.colours = {2, 0};
  bars.format = "{:.0f}";
  for (const std::size_t r : at_slope(table, {{"activity", picture.activity}}, picture.plateau_angle_target_deg))
  {
    const auto week = table.number(r, "week"), bone = table.number(r, "load_through_bone_percent");
    if (!week || table.number(r, "stance_percent").value_or(-1) != picture.stance_percent)
      continue;
    bars.groups.push_back(fmt::format("{:g}", *week));
    bars.values.push_back({bone, bone ? std::optional<double>(100 - *bone) : std::nullopt});
  }
  return bars;
}

BarChart through_the_screws(const TableRows &table, const LoadSharePicture &picture)
{
  BarChart bars;
  bars.low = {900, 190};
  bars.high = {width - 30.0, height - 190.0};
  bars.title = "shear of each screw where it enters the bone";
  bars.y_title = "force, N";
  bars.format = "{:.0f}";
  std::vector<std::size_t> rows;
  for (const std::size_t r : at_slope(table, {{"activity", picture.activity}}, picture.plateau_angle_target_deg))
    if (table.number(r, "stance_percent").value_or(-1) == picture.stance_percent)
      rows.push_back(r);
  const std::vector<std::string> weeks = words_of(table, rows, "week");
  const std::vector<std::string> shown = {weeks.front(), weeks.back()}; // more numbers would not fit over the bars
  for (const std::string &week : std::set<std::string>(shown.begin(), shown.end()))
  {
    bars.kinds.push_back("week " + week);
    bars.colours.push_back(bars.colours.size());
  }
  std::sort(bars.kinds.begin(), bars.kinds.end(),
            [](const std::string &a, const std::string &b) { return std::stod(a.substr(5)) < std::stod(b.substr(5)); });
  for (const std::string &screw : words_of(table, rows, "screw"))
  {
    bars.groups.push_back(spaced(screw));
    bars.values.emplace_back();
    for (const std::string &kind : bars.kinds)
    {
      std::optional<double> shear;
      for (const std::size_t r : rows)
        if (table.word(r, "screw") == screw && "week " + table.word(r, "week") == kind)
          shear = table.number(r, "shear_n");
      bars.values.back().push_back(shear);
    }
  }
  return bars;
}
} // namespace

bool draw_margin_weeks(const MarginPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/margins.csv", why,
                     [&]
                     {
                       const TableRows table(picture.folder + "/margins.csv");
                       std::vector<Series> curves;
                       const auto rows = at_slope(table, {{"mode", picture.mode}}, picture.plateau_angle_target_deg);
                       for (const std::string &activity : words_of(table, rows, "activity"))
                         if (Series curve = margin_curve(table, picture, activity); curve.points.size() > 1)
                           curves.push_back(std::move(curve));
                       if (curves.empty())
                         throw Error("no margin of mode " + picture.mode + " at two or more weeks");
                       draw_margins(picture, curves);
                     });
}

bool draw_load_share(const LoadSharePicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/cut.csv", why,
                     [&]
                     {
                       const TableRows cut(picture.folder + "/cut.csv"), screws(picture.folder + "/screws.csv");
                       const BarChart bone = through_the_cut(cut, picture);
                       if (bone.groups.empty() || screws.size() == 0)
                         throw Error("no rows of " + picture.activity + " with a plate");
                       Canvas canvas(width, height);
                       draw_sheet(canvas, {"Where the load goes over the weeks of healing",
                                           {fmt::format("plateau levelled to {:g}\u00b0; {}, {:g} % of stance",
                                                        picture.plateau_angle_target_deg, spaced(picture.activity),
                                                        picture.stance_percent)},
                                           picture.caution});
                       draw_bars(canvas, bone);
                       canvas.text({(bone.low.x() + bone.high.x()) / 2, bone.low.y() - 60}, "weeks after the operation",
                                   {20, ink, AlignX::centre, AlignY::centre});
                       draw_bars(canvas, through_the_screws(screws, picture));
                       canvas.save(picture.png);
                     });
}
} // namespace stifle::viz
