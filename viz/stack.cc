#include "viz/stack.h"
#include "viz/bars.h"
#include "viz/chart.h"
#include "viz/sheet.h"
#include <fmt/format.h>
#include <numeric>

namespace stifle::viz
{
namespace
{
constexpr double least_labelled = 5; // percent; a thinner piece holds no words

/// Neighbours differ in lightness; the words in them too.
double shade(std::size_t kind, std::size_t kinds) { return kinds < 2 ? 0.5 : 0.9 - 0.75 * double(kind) / double(kinds - 1); }

void draw_piece(Canvas &canvas, const Pixel &low, const Pixel &high, double darkness, const std::string &words)
{
  canvas.polygon(rectangle(low, high), tint(darkness));
  canvas.frame(low, high, ink, 1.2);
  const TextStyle style{19, darkness > 0.55 ? Colour{{1, 1, 1}} : ink, AlignX::centre, AlignY::centre, true};
  if (!words.empty())
    canvas.text((low + high) / 2, words, fitted(canvas, words, style, high.x() - low.x() - 8));
}
} // namespace

std::vector<double> stack_ends(const std::vector<double> &values)
{
  const double sum = std::accumulate(values.begin(), values.end(), 0.0);
  std::vector<double> ends(values.size(), 0);
  double reached = 0;
  for (std::size_t k = 0; k < values.size() && sum > 0; ++k)
    ends[k] = 100 * (reached += values[k]) / sum;
  return ends;
}

void draw_stack(Canvas &canvas, const StackChart &chart)
{
  const Axes axes(chart.low, chart.high, 0, 1, 0, 100);
  axes.draw_heights(canvas, chart.y_title);
  const auto places = bar_places(chart.low.x(), chart.high.x(), chart.groups.size(), 1);
  for (std::size_t g = 0; g < chart.groups.size(); ++g)
  {
    const BarPlace place = places[g][0];
    const std::vector<double> ends = stack_ends(chart.values[g]);
    double from = 0;
    for (std::size_t k = 0; k < ends.size(); from = ends[k++])
      if (ends[k] > from)
        draw_piece(canvas, {place.left, axes.place(0, from).y()}, {place.right, axes.place(0, ends[k]).y()}, shade(k, ends.size()),
                   ends[k] - from < least_labelled ? "" : fmt::format("{}: {:.0f} %", chart.kinds[k], ends[k] - from));
    const double middle = (place.left + place.right) / 2, sum = std::accumulate(chart.values[g].begin(), chart.values[g].end(), 0.0);
    canvas.text({middle, axes.place(0, 100).y() + 6}, fmt::format(fmt::runtime(chart.sum_format), sum),
                {19, ink, AlignX::centre, AlignY::bottom, true});
    canvas.text({middle, chart.low.y() - 12}, chart.groups[g], {19, ink, AlignX::centre, AlignY::top});
  }
  canvas.text({(chart.low.x() + chart.high.x()) / 2, chart.high.y() + 42}, chart.title,
              fitted(canvas, chart.title, {22, ink, AlignX::centre, AlignY::bottom, true}, chart.high.x() - chart.low.x() + 90));
}
} // namespace stifle::viz
