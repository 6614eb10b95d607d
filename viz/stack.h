// viz/stack.h - bars cut into shares of their sum, one a group, with a label in each piece and the sum above
//   units  of the sums: named in `sum_format`;  pixels out
#pragma once
#include "viz/canvas.h"

namespace stifle::viz
{
struct StackChart
{
  Pixel low, high; ///< of the plot area
  std::string title, y_title;
  std::vector<std::string> groups, kinds;  ///< words below the bars; words in the pieces, lowest first
  std::vector<std::vector<double>> values; ///< [group][kind], >= 0
  std::string sum_format = "{:.0f} N";
};

/// Upper ends of the pieces, percent of their sum; all 0 when the sum is 0.
std::vector<double> stack_ends(const std::vector<double> &values);

void draw_stack(Canvas &canvas, const StackChart &chart);
} // namespace stifle::viz
