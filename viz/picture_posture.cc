#include "models/core/error.h"
#include "viz/picture.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include <algorithm>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 980;

/// A column of the rows of the intact, unoperated joint against stifle angle.
Series read_curve(const TableRows &rows, const std::string &column, const std::string &name)
{
  Series curve{name, {}, {}};
  Filter filter{{"ligament", "intact"}};
  if (rows.has("repair"))
    filter.push_back({"repair", "none"});
  for (const std::size_t r : rows.where(filter))
    if (const auto angle = rows.number(r, "stifle_angle_deg"), force = rows.number(r, column); angle && force)
      curve.points.push_back({*angle, *force, {}, {}});
  std::sort(curve.points.begin(), curve.points.end(), [](const SeriesPoint &a, const SeriesPoint &b) { return a.x < b.x; });
  return curve;
}

void draw(const PosturePicture &picture, const std::vector<Series> &curves)
{
  Canvas canvas(width, height);
  const SheetWords words{"Posture: thrust and cruciate force against stifle angle",
                         {"intact, unoperated joint under one ground force; synthetic postures from crouched to straight"},
                         picture.caution};
  draw_sheet(canvas, words);
  const Axes axes = series_axes({150, 150 + caution_room}, {width - 400.0, height - 20 - sheet_head(words)}, curves);
  axes.draw(canvas, "stifle angle, degrees", "force, N  (thrust above zero: drives the tibia cranially)");
  draw_series(canvas, axes, curves);
  const double below = axes.place(0, axes.y_min()).y() - 52;
  canvas.text({axes.place(axes.x_min(), 0).x(), below}, "\u2190 crouched", {20, ink, AlignX::left, AlignY::top});
  canvas.text({axes.place(axes.x_max(), 0).x(), below}, "straight \u2192", {20, ink, AlignX::right, AlignY::top});
  draw_series_key(canvas, {width - 370.0, axes.place(0, axes.y_max()).y() - 20}, 350, curves);
  canvas.save(picture.png);
}
} // namespace

bool draw_posture(const PosturePicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/posture.csv", why,
                     [&]
                     {
                       const TableRows rows(picture.folder + "/posture.csv");
                       std::vector<Series> curves;
                       for (const auto &[column, name] :
                            {std::pair("thrust_n", "thrust"), std::pair("cruciate_cranial_n", "cranial cruciate"),
                             std::pair("cruciate_caudal_n", "caudal cruciate")})
                         if (Series curve = read_curve(rows, column, name); curve.points.size() > 1)
                           curves.push_back(std::move(curve));
                       if (curves.empty())
                         throw Error("no two rows of the intact joint");
                       draw(picture, curves);
                     });
}
} // namespace stifle::viz
