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
  /// The same with logarithmic heights; y_min > 0. Heights at or below the axis are drawn on it.
  static Axes with_log_heights(Pixel low, Pixel high, double x_min, double x_max, double y_min, double y_max);

  Pixel place(double x, double y) const;
  void draw(Canvas &canvas, const std::string &x_title, const std::string &y_title) const;
  /// Grid, ticks and title of the heights alone: for bars.
  void draw_heights(Canvas &canvas, const std::string &y_title) const;
  double x_min() const { return x_min_; }
  double x_max() const { return x_max_; }
  double y_min() const { return y_min_; }
  double y_max() const { return y_max_; }

private:
  std::vector<double> height_ticks() const;
  Pixel low_, high_;
  double x_min_, x_max_, y_min_, y_max_, x_step_, y_step_;
  bool log_heights_ = false;
};

/// 1, 2 and 5 times the powers of ten from the last one not above `low` (> 0) to the first one not below `high`; powers of ten alone
/// over more than four decades.
std::vector<double> log_ticks(double low, double high);

/// 1, 2 or 5 times a power of ten: about `pieces` steps in `range` (> 0).
double tick_step(double range, int pieces);
/// Smallest of 1, 1.5, 2, 3, 4, 5, 6, 8 times a power of ten that is not below `value` (> 0).
double round_up(double value);
/// Largest of 1, 2, 5 times a power of ten that is not above `value` (> 0).
double round_down_125(double value);
} // namespace stifle::viz
