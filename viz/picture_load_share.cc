#include "models/core/error.h"
#include "viz/bars.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/stack.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1700, height = 1330;
constexpr double left = 140, middle = 905, upper = 765, lower = 175; // left edges and feet of the four panels
constexpr double tall = 350, wide = 660;

/// Rows of the picture's slope, activity and instant.
std::vector<std::size_t> rows_of(const TableRows &table, const LoadSharePicture &picture)
{
  return table.nearest(table.at_slope({{"activity", picture.activity}}, picture.plateau_angle_target_deg), "stance_percent",
                       picture.stance_percent);
}

void below(Canvas &canvas, double x, double foot)
{
  canvas.text({x + wide / 2, foot - 58}, "weeks after the operation", {20, ink, AlignX::centre, AlignY::centre});
}

/// Percent of the axial load through the cut surface of the bone, and the rest through the plate.
BarChart through_the_cut(const TableRows &table, const std::vector<std::size_t> &rows)
{
  BarChart bars;
  bars.low = {left, upper};
  bars.high = {left + wide, upper + tall};
  bars.title = "axial load across the cut";
  bars.y_title = "percent of the load";
  bars.kinds = {"bone", "plate"};
  bars.colours = {2, 0};
  bars.format = "{:.0f}";
  for (const std::size_t r : rows)
  {
    const auto bone = table.number(r, "load_through_bone_percent");
    bars.groups.push_back(table.word(r, "week"));
    bars.values.push_back({bone, bone ? std::optional<double>(100 - *bone) : std::nullopt});
  }
  return bars;
}

std::optional<double> force(const TableRows &table, const std::vector<std::size_t> &rows, const std::string &week,
                            const std::string &screw, const std::string &column)
{
  for (const std::size_t r : rows)
    if (table.word(r, "week") == week && table.word(r, "screw") == screw)
      return table.number(r, column);
  return std::nullopt;
}

std::string signed_words(double force_n)
{
  const double size = std::round(std::abs(force_n));
  return size == 0 ? "0" : fmt::format("{}{:.0f}", force_n < 0 ? "\u2212" : "+", size);
}

/// Cells in place of some 36 bars: force along each screw, week by week; darker is larger.
void draw_axial(Canvas &canvas, const TableRows &table, const std::vector<std::size_t> &rows)
{
  const auto weeks = table.words(rows, "week"), screws = table.words(rows, "screw");
  const double head = 110, cell_x = (wide - head) / double(weeks.size()), cell_y = tall / double(screws.size());
  double most = 1e-9;
  for (const std::size_t r : rows)
    most = std::max(most, std::abs(table.number(r, "axial_n").value_or(0)));
  for (std::size_t s = 0; s < screws.size(); ++s)
  {
    const double top = upper + tall - cell_y * double(s);
    canvas.text({middle + head - 12, top - cell_y / 2}, spaced(screws[s]), {20, ink, AlignX::right, AlignY::centre});
    for (std::size_t w = 0; w < weeks.size(); ++w)
    {
      const double x = middle + head + cell_x * double(w);
      const auto axial = force(table, rows, weeks[w], screws[s], "axial_n");
      const double darkness = 0.8 * std::abs(axial.value_or(0)) / most;
      const Pixel low(x, top - cell_y), high(x + cell_x, top);
      canvas.polygon(rectangle(low, high), tint(darkness));
      canvas.frame(low, high, grey, 1);
      const std::string words = axial ? signed_words(*axial) : "not known";
      const TextStyle style{20, darkness > 0.55 ? Colour{{1, 1, 1}} : ink, AlignX::centre, AlignY::centre, true};
      canvas.text({x + cell_x / 2, top - cell_y / 2}, words, fitted(canvas, words, style, cell_x - 6));
    }
  }
  for (std::size_t w = 0; w < weeks.size(); ++w)
    canvas.text({middle + head + cell_x * (double(w) + 0.5), upper - 12}, weeks[w], {19, ink, AlignX::centre, AlignY::top});
  below(canvas, middle, upper);
  canvas.text({middle + wide / 2, upper + tall + 16}, "force along each screw, N  (+ pulls it out, \u2212 pushes it in)",
              {22, ink, AlignX::centre, AlignY::bottom, true});
}

/// Shares of the screws of one segment in the sum of their shear.
StackChart through_the_screws(const TableRows &table, const std::vector<std::size_t> &rows, const std::string &segment, double x)
{
  StackChart stack;
  stack.low = {x, lower};
  stack.high = {x + wide, lower + tall};
  stack.title = "shear of the " + segment + " screws";
  stack.y_title = "percent of their sum";
  stack.groups = table.words(rows, "week");
  std::vector<std::string> screws;
  for (const std::string &screw : table.words(rows, "screw"))
    for (const std::size_t r : rows)
      if (table.word(r, "screw") == screw && table.word(r, "segment") == segment)
      {
        screws.push_back(screw);
        break;
      }
  for (const std::string &screw : screws)
    stack.kinds.push_back(screw.substr(screw.find('_') + 1)); // the number alone
  for (const std::string &week : stack.groups)
  {
    stack.values.emplace_back();
    for (const std::string &screw : screws)
      stack.values.back().push_back(force(table, rows, week, screw, "shear_n").value_or(0));
  }
  return stack;
}

void draw(const LoadSharePicture &picture, const TableRows &cut, const TableRows &screws)
{
  const auto cut_rows = rows_of(cut, picture), screw_rows = rows_of(screws, picture);
  if (cut_rows.empty() || screw_rows.empty())
    throw Error("no rows of " + picture.activity + " with a plate");
  Canvas canvas(width, height);
  draw_sheet(canvas, {"Where the load goes over the weeks of healing",
                      {fmt::format("plateau levelled to {:g}\u00b0; {}, {} % of stance", picture.plateau_angle_target_deg,
                                   spaced(picture.activity), cut.word(cut_rows.front(), "stance_percent")),
                       "bone: axial resultant through the cut, in percent of the axial load above it; plate: the rest to 100"},
                      picture.caution});
  draw_bars(canvas, through_the_cut(cut, cut_rows));
  below(canvas, left, upper);
  draw_axial(canvas, screws, screw_rows);
  for (const auto &[segment, x] : {std::pair<std::string, double>{"proximal", left}, {"distal", middle + 60}})
  {
    draw_stack(canvas, through_the_screws(screws, screw_rows, segment, x));
    below(canvas, x, lower);
  }
  canvas.text({width / 2.0, lower - 96}, "number of the screw: share in the sum of the shear forces (sizes, without direction) where the screws of "
                                         "one segment enter the bone; the sum stands above",
              {18, ink, AlignX::centre, AlignY::centre});
  canvas.save(picture.png);
}
} // namespace

bool draw_load_share(const LoadSharePicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/cut.csv", why, [&] { draw(picture, TableRows(picture.folder + "/cut.csv"), TableRows(picture.folder + "/screws.csv")); });
}
} // namespace stifle::viz
