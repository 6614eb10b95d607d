// viz/bars.h - bars beside one another: one group a state, one bar in it for each kind
//   units  of the values: named in `y_title`;  pixels out
//   A value that is not known leaves its place free and says so. Bars start at zero and may go below it.
#pragma once
#include "viz/canvas.h"
#include <optional>

namespace stifle::viz
{
struct BarChart
{
  Pixel low, high; ///< of the plot area
  std::string title, y_title;
  std::vector<std::string> groups;                        ///< words below; \n breaks a line
  std::vector<std::string> kinds;                         ///< words of the key; one kind: no key
  std::vector<std::vector<std::optional<double>>> values; ///< [group][kind]
  std::vector<std::size_t> colours;                       ///< of each group with one kind, of each kind otherwise
  std::string format = "{:.1f}";                          ///< of the number at a bar
};

/// Left and right end of a bar; a group takes an equal part of the width and leaves a quarter of it free.
struct BarPlace
{
  double left = 0, right = 0;
};
std::vector<std::vector<BarPlace>> bar_places(double from, double to, std::size_t groups, std::size_t kinds);

/// Lowest and highest height of the axis: zero and all values inside, with room for a number at the bars.
std::pair<double, double> bar_range(const BarChart &chart);

void draw_bars(Canvas &canvas, const BarChart &chart);
} // namespace stifle::viz
