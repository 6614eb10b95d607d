#include "viz/chart.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle::viz
{
double tick_step(double range, int pieces)
{
  const double rough = range / pieces, power = std::pow(10.0, std::floor(std::log10(rough))), lead = rough / power;
  return (lead < 1.5 ? 1 : lead < 3.5 ? 2 : lead < 7.5 ? 5 : 10) * power;
}

double round_up(double value)
{
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  for (const double step : {1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0})
    if (step * power >= value * (1 - 1e-12))
      return step * power;
  return 10 * power;
}

double round_down_125(double value)
{
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  const double lead = value / power * (1 + 1e-12);
  return (lead >= 5 ? 5 : lead >= 2 ? 2 : 1) * power;
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

Axes Axes::with_log_heights(Pixel low, Pixel high, double x_min, double x_max, double y_min, double y_max)
{
  Axes axes(low, high, x_min, x_max, y_min, y_max);
  axes.log_heights_ = true;
  const std::vector<double> ticks = log_ticks(y_min, y_max);
  axes.y_min_ = ticks.front();
  axes.y_max_ = ticks.back();
  return axes;
}

std::vector<double> log_ticks(double low, double high)
{
  std::vector<double> ticks;
  for (int power = int(std::floor(std::log10(low) + 1e-9)); ticks.empty() || ticks.back() < high * (1 - 1e-9); ++power)
    for (const double lead : std::log10(high / low) > 4 ? std::vector<double>{1} : std::vector<double>{1, 2, 5})
    {
      const double tick = lead * std::pow(10.0, power);
      if (!ticks.empty() && tick <= low * (1 + 1e-9))
        ticks.clear();
      if (ticks.empty() || ticks.back() < high * (1 - 1e-9))
        ticks.push_back(tick);
    }
  if (ticks.size() == 1)
    ticks.push_back(10 * ticks.front());
  return ticks;
}

std::vector<double> Axes::height_ticks() const
{
  if (log_heights_)
    return log_ticks(y_min_, y_max_);
  std::vector<double> ticks;
  for (int i = 0; y_min_ + i * y_step_ <= y_max_ + 1e-9 * y_step_; ++i)
    ticks.push_back(y_min_ + i * y_step_);
  return ticks;
}

Pixel Axes::place(double x, double y) const
{
  const double height = log_heights_ ? std::log(std::max(y / y_min_, 1.0)) / std::log(y_max_ / y_min_) : (y - y_min_) / (y_max_ - y_min_);
  return {low_.x() + (high_.x() - low_.x()) * (x - x_min_) / (x_max_ - x_min_), low_.y() + (high_.y() - low_.y()) * height};
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
  for (const double y : height_ticks())
  {
    canvas.line({place(x_min_, y), place(x_max_, y)}, light, 1.5);
    canvas.text(place(x_min_, y) - Pixel(10, 0), tick(y), {20, ink, AlignX::right, AlignY::centre});
  }
  canvas.frame(low_, high_, ink, 1.5);
  TextStyle upright{22, ink, AlignX::centre, AlignY::centre};
  upright.upright = true;
  canvas.text({low_.x() - 95, (low_.y() + high_.y()) / 2}, y_title, upright);
}
} // namespace stifle::viz
