#include "viz/bars.h"
#include "viz/chart.h"
#include "viz/sheet.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr double free_part = 0.25, number_room = 0.12; // of a group; of the range, above and below the bars
constexpr double number_size = 20, group_size = 19;

Colour colour(const BarChart &chart, std::size_t group, std::size_t kind)
{
  const std::size_t i = chart.kinds.size() > 1 ? kind : group;
  return line_colours[(i < chart.colours.size() ? chart.colours[i] : i) % line_colours.size()];
}

struct Slot
{
  BarPlace place;
  std::size_t group, kind;
};

void draw_bar(Canvas &canvas, const Axes &axes, const BarChart &chart, const Slot &slot)
{
  const std::optional<double> &value = chart.values[slot.group][slot.kind];
  const double middle = (slot.place.left + slot.place.right) / 2, room = 1.3 * (slot.place.right - slot.place.left),
               zero = axes.place(0, 0).y();
  if (!value)
  {
    canvas.text({middle, zero + 8}, "not known", fitted(canvas, "not known", {16, grey, AlignX::centre, AlignY::bottom}, room));
    return;
  }
  const double end = axes.place(0, *value).y();
  canvas.polygon(rectangle({slot.place.left, zero}, {slot.place.right, end}), colour(chart, slot.group, slot.kind), 0.85);
  const std::string number = fmt::format(fmt::runtime(chart.format), std::abs(*value) < 1e-9 ? 0.0 : *value);
  TextStyle style{number_size, ink, AlignX::centre, *value < 0 ? AlignY::top : AlignY::bottom, true};
  style.halo = true;
  canvas.text({middle, end + (*value < 0 ? -7 : 7)}, number, fitted(canvas, number, style, room));
}

void draw_kind_key(Canvas &canvas, const BarChart &chart)
{
  if (chart.kinds.size() < 2)
    return;
  double x = chart.low.x() + 10;
  for (std::size_t k = 0; k < chart.kinds.size(); ++k)
  {
    const double y = chart.high.y() + 20;
    canvas.polygon(rectangle({x, y - 9}, {x + 22, y + 9}), colour(chart, 0, k), 0.85);
    const TextStyle style{18, ink, AlignX::left, AlignY::centre};
    canvas.text({x + 30, y}, chart.kinds[k], style);
    x += 52 + canvas.text_size(chart.kinds[k], style).x();
  }
}
} // namespace

std::vector<std::vector<BarPlace>> bar_places(double from, double to, std::size_t groups, std::size_t kinds)
{
  std::vector<std::vector<BarPlace>> places(groups, std::vector<BarPlace>(kinds));
  const double group = (to - from) / double(groups), bar = group * (1 - free_part) / double(kinds);
  for (std::size_t g = 0; g < groups; ++g)
    for (std::size_t k = 0; k < kinds; ++k)
    {
      places[g][k].left = from + group * (double(g) + free_part / 2) + bar * double(k);
      places[g][k].right = places[g][k].left + bar;
    }
  return places;
}

std::pair<double, double> bar_range(const BarChart &chart)
{
  double low = 0, high = 0;
  for (const auto &group : chart.values)
    for (const auto &value : group)
      low = std::min(low, value.value_or(0)), high = std::max(high, value.value_or(0));
  if (high - low <= 0)
    return {0, 1};
  const double room = number_room * (high - low);
  return {low < 0 ? low - room : 0, high > 0 ? high + room : 0};
}

void draw_bars(Canvas &canvas, const BarChart &chart)
{
  const auto [least, most] = bar_range(chart);
  const Axes axes(chart.low, chart.high, 0, 1, least, most);
  axes.draw_heights(canvas, chart.y_title);
  const std::size_t kinds = std::max<std::size_t>(chart.kinds.size(), 1);
  const auto places = bar_places(chart.low.x(), chart.high.x(), chart.groups.size(), kinds);
  const double room = (chart.high.x() - chart.low.x()) / double(chart.groups.size()) - 8,
               middle = (chart.low.x() + chart.high.x()) / 2;
  for (std::size_t g = 0; g < chart.groups.size(); ++g)
  {
    for (std::size_t k = 0; k < kinds; ++k)
      draw_bar(canvas, axes, chart, {places[g][k], g, k});
    canvas.text({chart.low.x() + (room + 8) * (double(g) + 0.5), chart.low.y() - 12}, chart.groups[g],
                fitted(canvas, chart.groups[g], {group_size, ink, AlignX::centre, AlignY::top}, room));
  }
  canvas.line({{chart.low.x(), axes.place(0, 0).y()}, {chart.high.x(), axes.place(0, 0).y()}}, ink, 2.5);
  draw_kind_key(canvas, chart);
  canvas.text({middle, chart.high.y() + (kinds > 1 ? 46 : 16)}, chart.title,
              fitted(canvas, chart.title, {22, ink, AlignX::centre, AlignY::bottom, true}, chart.high.x() - chart.low.x() + 90));
}
} // namespace stifle::viz
