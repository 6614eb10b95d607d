#include "viz/series.h"
#include "viz/sheet.h"
#include <algorithm>

namespace stifle::viz
{
namespace
{
constexpr Dash dashes[] = {Dash::solid, Dash::dashed, Dash::dash_dot, Dash::dotted};
constexpr Marker markers[] = {Marker::circle, Marker::square, Marker::triangle, Marker::diamond};
constexpr double band_opacity = 0.16;

Colour colour(std::size_t i) { return line_colours[i % line_colours.size()]; }

Pixel place(const Axes &axes, const Series &series, double x, double y) { return axes.place(x, y) + Pixel(series.shift, 0); }

void draw_whisker(Canvas &canvas, const Pixel &high, const Pixel &low, const Colour &colour)
{
  canvas.line({high, low}, colour, 3);
  for (const Pixel &end : {high, low})
    canvas.line({end - Pixel(6, 0), end + Pixel(6, 0)}, colour, 3);
}

void draw_band(Canvas &canvas, const Axes &axes, const Series &series, std::size_t i)
{
  for (const auto &[first, last] : band_pieces(series.points))
  {
    Pixels shape, back;
    for (std::size_t k = first; k <= last; ++k)
    {
      const SeriesPoint &p = series.points[k];
      shape.push_back(place(axes, series, p.x, *p.high));
      back.push_back(place(axes, series, p.x, *p.low));
      if (series.whiskers || first == last)
        draw_whisker(canvas, shape.back(), back.back(), colour(i));
    }
    if (series.whiskers || first == last)
      continue;
    shape.insert(shape.end(), back.rbegin(), back.rend());
    canvas.polygon(shape, colour(i), band_opacity);
  }
}

void draw_line(Canvas &canvas, const Axes &axes, const Series &series, std::size_t i)
{
  Pixels line;
  for (const SeriesPoint &p : series.points)
    line.push_back(place(axes, series, p.x, p.y));
  canvas.line(line, colour(i), 3.5, dashes[i % 4]);
  double last = -1e300; // markers about every 60 pixels, each curve shifted a little
  for (const Pixel &p : line)
    if (p.x() - last > 60 || series.whiskers)
    {
      canvas.marker(p, markers[i % 4], 13, colour(i));
      last = p.x() + (last < -1e200 ? 18.0 * double(i) : 0.0);
    }
}
} // namespace

std::optional<double> rising_zero(const std::vector<SeriesPoint> &points)
{
  for (std::size_t i = points.size(); i-- > 1;)
  {
    const SeriesPoint &a = points[i - 1], &b = points[i];
    if (a.y <= 0 && b.y > 0)
      return a.x + (b.x - a.x) * a.y / (a.y - b.y);
  }
  return std::nullopt;
}

std::vector<std::pair<std::size_t, std::size_t>> band_pieces(const std::vector<SeriesPoint> &points)
{
  std::vector<std::pair<std::size_t, std::size_t>> pieces;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (points[i].low && points[i].high)
    {
      if (pieces.empty() || pieces.back().second + 1 != i)
        pieces.push_back({i, i});
      pieces.back().second = i;
    }
  return pieces;
}

bool has_band(const std::vector<Series> &all)
{
  return std::any_of(all.begin(), all.end(), [](const Series &s) { return !band_pieces(s.points).empty(); });
}

Axes series_axes(const Pixel &low, const Pixel &high, const std::vector<Series> &all)
{
  double x_min = 1e300, x_max = -1e300, y_min = 0, y_max = 0;
  for (const Series &series : all)
    for (const SeriesPoint &p : series.points)
    {
      x_min = std::min(x_min, p.x), x_max = std::max(x_max, p.x);
      y_min = std::min({y_min, p.y, p.low.value_or(0)}), y_max = std::max({y_max, p.y, p.high.value_or(0)});
    }
  return Axes(low, high, x_min, x_max, y_min, y_max);
}

Axes log_series_axes(const Pixel &low, const Pixel &high, const std::vector<Series> &all, double shown)
{
  double x_min = 1e300, x_max = -1e300, y_min = shown, y_max = shown;
  for (const Series &series : all)
    for (const SeriesPoint &p : series.points)
    {
      x_min = std::min(x_min, p.x), x_max = std::max(x_max, p.x);
      for (const double y : {p.y, p.low.value_or(p.y), p.high.value_or(p.y)})
        y_min = std::min(y_min, std::max(y, shown / 1000)), y_max = std::max(y_max, y);
    }
  return Axes::with_log_heights(low, high, x_min, x_max, y_min, y_max);
}

void draw_series(Canvas &canvas, const Axes &axes, const std::vector<Series> &all)
{
  for (std::size_t i = 0; i < all.size(); ++i)
    draw_band(canvas, axes, all[i], i);
  canvas.line({axes.place(axes.x_min(), 0), axes.place(axes.x_max(), 0)}, ink, 2.5);
  for (std::size_t i = 0; i < all.size(); ++i)
    draw_line(canvas, axes, all[i], i);
}

double draw_series_key(Canvas &canvas, const Pixel &top_left, double room, const std::vector<Series> &all)
{
  const double words = 105;
  double y = top_left.y();
  const auto write = [&](const std::string &text, const TextStyle &style) {
    canvas.text({top_left.x() + words, y}, text, fitted(canvas, text, style, room - words));
  };
  for (std::size_t i = 0; i < all.size(); ++i)
  {
    canvas.line({{top_left.x(), y}, {top_left.x() + 90, y}}, colour(i), 3.5, dashes[i % 4]);
    canvas.marker({top_left.x() + 45, y}, markers[i % 4], 13, colour(i));
    write(all[i].name, {22, ink, AlignX::left, AlignY::centre, true});
    y -= 30;
    if (!all[i].note.empty())
      write(all[i].note, {19, ink, AlignX::left, AlignY::centre});
    y -= all[i].note.empty() ? 22 : 48;
  }
  return y;
}
} // namespace stifle::viz
