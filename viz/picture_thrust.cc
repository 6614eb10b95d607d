#include "models/core/error.h"
#include "viz/canvas.h"
#include "viz/chart.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 950;

struct Curve
{
  std::string name;
  std::vector<Pixel> points; ///< plateau angle deg, thrust N; angle rising
  std::optional<double> neutral_deg;
};

/// Angle at which the straight line between two neighbours rises through zero: the steepest one, which levelling meets first
/// (the same rule as models/joint/joint.h).
std::optional<double> crossing(const std::vector<Pixel> &points)
{
  for (std::size_t i = points.size(); i-- > 1;)
  {
    const Pixel &a = points[i - 1], &b = points[i];
    if (a.y() <= 0 && b.y() > 0)
      return a.x() + (b.x() - a.x()) * a.y() / (a.y() - b.y());
  }
  return std::nullopt;
}

Curve read_curve(const JointRows &rows, const ThrustPicture &picture, const std::string &repair, const std::string &activity)
{
  Curve curve{activity.empty() ? picture.load_set : activity, {}, {}};
  RowKey key;
  key.repair = repair;
  key.load_set = picture.load_set;
  key.activity = activity;
  key.stance_percent = picture.stance_percent;
  for (const std::size_t r : rows.find(key, true))
  {
    const auto angle = rows.number(r, "plateau_angle_deg"), thrust = rows.number(r, "thrust_n");
    if (angle && thrust)
      curve.points.emplace_back(*angle, *thrust);
  }
  const auto lower = [](const Pixel &a, const Pixel &b) { return a.x() < b.x(); };
  const auto same = [](const Pixel &a, const Pixel &b) { return b.x() - a.x() < 1e-6; };
  std::stable_sort(curve.points.begin(), curve.points.end(), lower); // thrust is equal for intact and torn: one of them is drawn
  curve.points.erase(std::unique(curve.points.begin(), curve.points.end(), same), curve.points.end());
  curve.neutral_deg = crossing(curve.points);
  return curve;
}

std::vector<Curve> read_curves(const ThrustPicture &picture, std::string &repair)
{
  const JointRows rows(picture.folder + "/joint.csv");
  RowKey levelled;
  levelled.repair = "levelling";
  levelled.load_set = picture.load_set;
  levelled.stance_percent = picture.stance_percent;
  if (repair.empty())
    repair = rows.find(levelled, true).size() > 2 ? "levelling" : "none";
  std::vector<Curve> curves;
  const std::vector<std::string> one{""};
  for (const std::string &activity : picture.load_set == "stance" ? picture.activities : one)
  {
    Curve curve = read_curve(rows, picture, repair, activity);
    if (curve.points.size() > 1)
      curves.push_back(std::move(curve));
  }
  return curves;
}

Axes make_axes(const std::vector<Curve> &curves)
{
  double x_min = 1e300, x_max = -1e300, y_min = 0, y_max = 0;
  for (const Curve &curve : curves)
    for (const Pixel &p : curve.points)
    {
      x_min = std::min(x_min, p.x()), x_max = std::max(x_max, p.x());
      y_min = std::min(y_min, p.y()), y_max = std::max(y_max, p.y());
    }
  return Axes({150, 120}, {width - 400.0, height - 110.0}, x_min, x_max, y_min, y_max);
}

constexpr Dash line_dash[] = {Dash::solid, Dash::dashed, Dash::dash_dot, Dash::dotted};
constexpr Marker line_marker[] = {Marker::circle, Marker::square, Marker::triangle, Marker::diamond};

void draw_curve(Canvas &canvas, const Axes &axes, const Curve &curve, std::size_t i)
{
  Pixels line;
  for (const Pixel &p : curve.points)
    line.push_back(axes.place(p.x(), p.y()));
  canvas.line(line, line_colours[i % 4], 3.5, line_dash[i % 4]);
  double last = -1e300; // markers about every 60 pixels, each curve shifted a little
  for (const Pixel &p : line)
    if (p.x() - last > 60)
    {
      canvas.marker(p, line_marker[i % 4], 13, line_colours[i % 4]);
      last = p.x() + (last < -1e200 ? 18.0 * double(i) : 0.0);
    }
}

void draw_neutral(Canvas &canvas, const Axes &axes, const Curve &curve, std::size_t i)
{
  if (!curve.neutral_deg)
    return;
  const Pixel at = axes.place(*curve.neutral_deg, 0);
  canvas.line({at, axes.place(*curve.neutral_deg, axes.y_min())}, line_colours[i % 4], 1.8, Dash::dotted);
  canvas.disc(at, 10, line_colours[i % 4]);
  canvas.disc(at, 6, {{1, 1, 1}});
}

void draw_legend(Canvas &canvas, const std::vector<Curve> &curves)
{
  const double left = width - 370;
  double y = height - 150;
  for (std::size_t i = 0; i < curves.size(); ++i, y -= 92)
  {
    canvas.line({{left, y}, {left + 90, y}}, line_colours[i % 4], 3.5, line_dash[i % 4]);
    canvas.marker({left + 45, y}, line_marker[i % 4], 13, line_colours[i % 4]);
    canvas.text({left + 105, y}, curves[i].name, {22, ink, AlignX::left, AlignY::centre, true});
    canvas.text({left + 105, y - 30},
                curves[i].neutral_deg ? fmt::format("neutral at {:.1f}\u00b0", *curves[i].neutral_deg) : "no neutral slope here",
                {20, ink, AlignX::left, AlignY::centre});
  }
  canvas.disc({left + 45, y}, 10, ink);
  canvas.disc({left + 45, y}, 6, {{1, 1, 1}});
  canvas.text({left + 105, y}, "neutral slope:", {20, ink, AlignX::left, AlignY::centre});
  canvas.text({left + 105, y - 28}, "thrust vanishes", {20, ink, AlignX::left, AlignY::centre});
}

void draw(const ThrustPicture &picture, const std::vector<Curve> &curves, const std::string &repair)
{
  Canvas canvas(width, height);
  const Axes axes = make_axes(curves);
  axes.draw(canvas, repair == "none" ? "native plateau angle, degrees" : "plateau angle after levelling, degrees",
            "thrust, N  (above zero: drives the tibia cranially)");
  canvas.line({axes.place(axes.x_min(), 0), axes.place(axes.x_max(), 0)}, ink, 2.5);
  for (std::size_t i = 0; i < curves.size(); ++i)
    draw_curve(canvas, axes, curves[i], i);
  for (std::size_t i = 0; i < curves.size(); ++i)
    draw_neutral(canvas, axes, curves[i], i);
  draw_legend(canvas, curves);
  canvas.text({width / 2.0, height - 18.0}, picture.title, {28, ink, AlignX::centre, AlignY::top, true});
  const std::string loads = picture.load_set == "stance"
                                ? fmt::format("load set stance, {:g} % of stance", picture.stance_percent)
                                : "load set " + picture.load_set;
  canvas.text({width / 2.0, height - 62.0}, loads, {20, ink, AlignX::centre, AlignY::top});
  canvas.save(picture.png);
}
} // namespace

bool draw_thrust(const ThrustPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/joint.csv", why, [&] {
    std::string repair = picture.repair;
    const std::vector<Curve> curves = read_curves(picture, repair);
    if (curves.empty())
      throw Error("no rows of load set " + picture.load_set);
    draw(picture, curves, repair);
  });
}
} // namespace stifle::viz
