#include "models/core/error.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 980;

Series read_curve(const JointRows &rows, const TranslationPicture &picture, const RepairWords &kind)
{
  Series curve{kind.words, {}, {}};
  RowKey key{
      kind.repair, kind.turns_the_plateau ? picture.levelled_deg : picture.native_deg, "torn", "stance", picture.activity, 0};
  for (const std::size_t r : rows.find_nearest_slope(key))
  {
    const auto percent = rows.number(r, "stance_percent"), moved = rows.number(r, "translation_cranial_mm"),
               slope = rows.number(r, "plateau_angle_deg");
    if (!percent || !moved)
      continue;
    curve.points.push_back({*percent, *moved, {}, {}});
    curve.note = slope ? fmt::format("plateau {:.1f}\u00b0", *slope) : "";
  }
  std::sort(curve.points.begin(), curve.points.end(), [](const SeriesPoint &a, const SeriesPoint &b) { return a.x < b.x; });
  return curve;
}

void draw(const TranslationPicture &picture, const std::vector<Series> &curves)
{
  Canvas canvas(width, height);
  const SheetWords words{"Cranial translation of the tibia over stance, ligament torn",
                         {picture.activity + "; against the intact unoperated joint of the same dog at the same instant"},
                         picture.caution};
  draw_sheet(canvas, words);
  const Axes axes = series_axes({150, 120 + caution_room}, {width - 400.0, height - 20 - sheet_head(words)}, curves);
  axes.draw(canvas, "stance, percent", "translation, mm  (above zero: tibia cranial)");
  draw_series(canvas, axes, curves);
  draw_series_key(canvas, {width - 370.0, axes.place(0, axes.y_max()).y() - 20}, 350, curves);
  canvas.save(picture.png);
}
} // namespace

bool draw_translation(const TranslationPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/joint.csv", why,
                     [&]
                     {
                       const JointRows rows(picture.folder + "/joint.csv");
                       std::vector<Series> curves;
                       for (const RepairWords &kind : repair_words)
                         if (Series curve = read_curve(rows, picture, kind); curve.points.size() > 1)
                           curves.push_back(std::move(curve));
                       if (curves.empty())
                         throw Error("no torn " + picture.activity + " rows at two or more instants of stance");
                       draw(picture, curves);
                     });
}
} // namespace stifle::viz
