// viz/chart.h - axes of a curve picture: ticks at round numbers, grid, titles with units
#pragma once
#include "viz/canvas.h"

namespace stifle::viz
{
class Axes
{
public:
  /// The plot area in pixels and the data range; the range is widened to whole ticks.
  Axes(Pixel low, Pixel high, double x_min, double x_max, double y_min, double y_max);

  Pixel place(double x, double y) const;
  void draw(Canvas &canvas, const std::string &x_title, const std::string &y_title) const;
  /// Grid, ticks and title of the heights alone: for bars.
  void draw_heights(Canvas &canvas, const std::string &y_title) const;
  double x_min() const { return x_min_; }
  double x_max() const { return x_max_; }
  double y_min() const { return y_min_; }
  double y_max() const { return y_max_; }

private:
  Pixel low_, high_;
  double x_min_, x_max_, y_min_, y_max_, x_step_, y_step_;
};

/// 1, 2 or 5 times a power of ten: about `pieces` steps in `range` (> 0).
double tick_step(double range, int pieces);
} // namespace stifle::viz
