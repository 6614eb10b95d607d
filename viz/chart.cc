#include "viz/chart.h"
#include <cmath>
#include <fmt/format.h>

namespace stifle::viz
{
double tick_step(double range, int pieces)
{
  const double rough = range / pieces, power = std::pow(10.0, std::floor(std::log10(rough))), lead = rough / power;
  return (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10) * power;
}

Axes::Axes(Pixel low, Pixel high, double x_min, double x_max, double y_min, double y_max) : low_(low), high_(high)
{
  x_step_ = tick_step(std::max(x_max - x_min, 1e-9), 8);
  y_step_ = tick_step(std::max(y_max - y_min, 1e-9), 7);
  x_min_ = std::floor(x_min / x_step_ + 1e-9) * x_step_;
  x_max_ = std::ceil(x_max / x_step_ - 1e-9) * x_step_;
  y_min_ = std::floor(y_min / y_step_ + 1e-9) * y_step_;
  y_max_ = std::ceil(y_max / y_step_ - 1e-9) * y_step_;
}

Pixel Axes::place(double x, double y) const
{
  return {low_.x() + (high_.x() - low_.x()) * (x - x_min_) / (x_max_ - x_min_),
          low_.y() + (high_.y() - low_.y()) * (y - y_min_) / (y_max_ - y_min_)};
}

namespace
{
constexpr Colour light = {{0.88, 0.88, 0.89}};
std::string tick(double value) { return fmt::format("{:g}", std::abs(value) < 1e-9 ? 0.0 : value); }
} // namespace

void Axes::draw(Canvas &canvas, const std::string &x_title, const std::string &y_title) const
{
  for (int i = 0; x_min_ + i * x_step_ <= x_max_ + 1e-9 * x_step_; ++i)
  {
    const double x = x_min_ + i * x_step_;
    canvas.line({place(x, y_min_), place(x, y_max_)}, light, 1.5);
    canvas.text(place(x, y_min_) - Pixel(0, 10), tick(x), {20, ink, AlignX::centre, AlignY::top});
  }
  draw_heights(canvas, y_title);
  canvas.text({(low_.x() + high_.x()) / 2, low_.y() - 48}, x_title, {22, ink, AlignX::centre, AlignY::top});
}

void Axes::draw_heights(Canvas &canvas, const std::string &y_title) const
{
  for (int i = 0; y_min_ + i * y_step_ <= y_max_ + 1e-9 * y_step_; ++i)
  {
    const double y = y_min_ + i * y_step_;
    canvas.line({place(x_min_, y), place(x_max_, y)}, light, 1.5);
    canvas.text(place(x_min_, y) - Pixel(10, 0), tick(y), {20, ink, AlignX::right, AlignY::centre});
  }
  canvas.line({low_, {high_.x(), low_.y()}, high_, {low_.x(), high_.y()}, low_}, ink, 1.5);
  TextStyle upright{22, ink, AlignX::centre, AlignY::centre};
  upright.upright = true;
  canvas.text({low_.x() - 95, (low_.y() + high_.y()) / 2}, y_title, upright);
}
} // namespace stifle::viz
