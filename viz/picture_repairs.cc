#include "models/core/error.h"
#include "viz/bars.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1700, height = 900;

/// Blanks to line breaks, so that the words fit under a bar.
std::string stacked(std::string words)
{
  std::replace(words.begin(), words.end(), ' ', '\n');
  return words;
}

/// The rows shown: intact first, then torn, one a repair.
std::vector<std::size_t> shown_rows(const TableRows &table, const RepairsPicture &picture)
{
  std::vector<std::size_t> shown;
  const auto add = [&](const char *ligament, const char *repair, double near_deg)
  {
    const auto all = table.where({{"activity", picture.activity}, {"ligament", ligament}, {"repair", repair}});
    std::vector<std::size_t> now;
    for (const std::size_t r : all)
      if (std::abs(table.number(r, "stance_percent").value_or(-1) - picture.stance_percent) < 1e-6)
        now.push_back(r);
    now = table.nearest(now, "plateau_angle_target_deg", near_deg);
    if (!now.empty())
      shown.push_back(now.front());
  };
  add("intact", "none", picture.levelled_deg);
  for (const RepairWords &kind : repair_words)
    add("torn", kind.repair, picture.levelled_deg);
  return shown;
}

std::string name_of(const TableRows &table, std::size_t row)
{
  if (table.word(row, "ligament") == "intact")
    return "intact";
  for (const RepairWords &kind : repair_words)
    if (table.word(row, "repair") == kind.repair)
      return stacked(kind.words) +
             (kind.turns_the_plateau ? fmt::format("\n{:.1f}\u00b0", table.number(row, "plateau_angle_deg").value_or(0)) : "");
  return table.word(row, "repair");
}

BarChart subluxation(const TableRows &table, const std::vector<std::size_t> &rows)
{
  BarChart bars;
  bars.low = {130, 190};
  bars.high = {930, height - 190.0};
  bars.title = "subluxation";
  bars.y_title = "translation of the tibia, mm  (above zero: cranial)";
  bars.kinds = {""};
  for (const std::size_t r : rows)
  {
    bars.groups.push_back(name_of(table, r));
    bars.values.push_back({table.number(r, "subluxation_mm")});
    bars.colours.push_back(table.word(r, "ligament") == "intact" ? 2 : table.word(r, "repair") == "none" ? 1 : 0);
  }
  return bars;
}

/// Only the repairs whose strength is known; empty groups when there is none.
BarChart strength(const TableRows &table, const std::vector<std::size_t> &rows)
{
  BarChart bars;
  bars.low = {1080, 190};
  bars.high = {width - 30.0, height - 190.0};
  bars.title = "load of the repair against its strength";
  bars.y_title = "force, N";
  bars.kinds = {"load", "weaker limit", "stronger limit"};
  bars.colours = {1, 0, 2};
  bars.format = "{:.0f}";
  for (const std::size_t r : rows)
  {
    const auto low = table.number(r, "strength_low_n"), high = table.number(r, "strength_high_n");
    if (!low && !high)
      continue;
    const std::string &low_mode = table.word(r, "strength_low_mode"), &high_mode = table.word(r, "strength_high_mode");
    bars.groups.push_back(name_of(table, r) + "\nweaker: " + spaced(low_mode) +
                          (high_mode.empty() ? "" : "\nstronger: " + spaced(high_mode)));
    std::replace(bars.groups.back().begin(), bars.groups.back().begin() + long(name_of(table, r).size()), '\n', ' ');
    bars.values.push_back({table.number(r, "repair_load_n"), low, high});
  }
  return bars;
}

void draw(const RepairsPicture &picture, const TableRows &table, const std::vector<std::size_t> &rows)
{
  Canvas canvas(width, height);
  draw_sheet(canvas, {"Repairs side by side, ligament torn",
                      {fmt::format("{}, {:g} % of stance; translation against the intact unoperated joint", picture.activity,
                                   picture.stance_percent)},
                      picture.caution});
  draw_bars(canvas, subluxation(table, rows));
  const BarChart limits = strength(table, rows);
  if (!limits.groups.empty())
    draw_bars(canvas, limits);
  else
    canvas.text({(limits.low.x() + limits.high.x()) / 2, (limits.low.y() + limits.high.y()) / 2},
                "no repair here with a strength of its own:\nwhat holds a cut is judged by the construct",
                {20, ink, AlignX::centre, AlignY::centre});
  canvas.save(picture.png);
}
} // namespace

bool draw_repairs(const RepairsPicture &picture, std::string *why)
{
  return try_picture(
      picture.folder + "/repairs.csv", why,
      [&]
      {
        const TableRows table(picture.folder + "/repairs.csv");
        const auto rows = shown_rows(table, picture);
        if (std::none_of(rows.begin(), rows.end(), [&](std::size_t r) { return table.word(r, "ligament") == "torn"; }))
          throw Error(fmt::format("no torn {} rows at {:g} % of stance", picture.activity, picture.stance_percent));
        draw(picture, table, rows);
      });
}
} // namespace stifle::viz
