// viz/series.h - curves over axes: line, marker, shaded band, key
//   units  whatever the axes carry; a series differs in colour, dash and marker by its number
#pragma once
#include "viz/chart.h"
#include <optional>

namespace stifle::viz
{
struct SeriesPoint
{
  double x = 0, y = 0;
  std::optional<double> low, high; ///< of the band; both or none
};
struct Series
{
  std::string name;
  std::vector<SeriesPoint> points; ///< x rising
  std::string note;                ///< second line of its key; may be empty
  std::optional<double> mark = {}; ///< x of a marked point on the zero line
  bool whiskers = false;           ///< a bar with ends at every point that has a band, in place of shading
  double shift = 0;                ///< pixels sideways, so that whiskers of several curves stand beside one another
};

/// x at which the straight line between two neighbours rises through zero; the last one, which levelling meets first (the same
/// rule as models/joint/joint.h). Empty when there is none.
std::optional<double> rising_zero(const std::vector<SeriesPoint> &points);

/// Pieces of neighbouring points that all have a band, each as [first, last].
std::vector<std::pair<std::size_t, std::size_t>> band_pieces(const std::vector<SeriesPoint> &points);
bool has_band(const std::vector<Series> &all);

/// Axes that hold all points, all bands and y = 0.
Axes series_axes(const Pixel &low, const Pixel &high, const std::vector<Series> &all);

/// Logarithmic heights that hold all points, all bands and the height `shown` (> 0); what lies below `shown` / 1000 is left out.
Axes log_series_axes(const Pixel &low, const Pixel &high, const std::vector<Series> &all, double shown);

/// Bands below lines below markers. A band of one point alone is a bar with ends.
void draw_series(Canvas &canvas, const Axes &axes, const std::vector<Series> &all);

/// Names and notes, downwards from `top_left`, in `room` pixels of width; returns the height below the last one.
double draw_series_key(Canvas &canvas, const Pixel &top_left, double room, const std::vector<Series> &all);
} // namespace stifle::viz
