#include "mesh/implant_fit.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::mesh
{
namespace
{
// Assumption: shape of the plate beyond the keys of the scenario, mm.
constexpr double edge_mm = 4.5;       // from a hole axis to the proximal edge of the head
constexpr double end_mm = 6.0;        // from the last hole axis to the distal end
constexpr double head_below_mm = 5.0; // full head width below the lowest proximal hole
constexpr double taper_mm = 7.0;      // from head width to shaft width
constexpr double head_corner_mm = 6.0, end_corner_mm = 2.5;
constexpr double overhang_mm = 4.0; // the inner curve goes on beyond the outline
constexpr double station_mm = 9.0;
// Refusals.
constexpr double largest_gap_mm = 8.0; // plate to bone at a hole
constexpr double least_cover = 0.8;    // part of the outline that has bone below
constexpr double joint_distance_mm = 2.0, cut_distance_mm = 0.5, screw_distance_mm = 1.0, plate_edge_mm = 1.0;
constexpr double tip_beyond_mm = 1.0; // screw tip beyond the far cortex: common practice

class Fitter
{
public:
  Fitter(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const Skin &skin)
      : s_(scenario), anatomy_(anatomy), levelling_(levelling), skin_(skin)
  {
    list_screws();
    draw_outline();
    contour_plate();
    place_screws();
  }
  ImplantFit fit;

private:
  std::optional<double> bone(double x, double z, int side) const
  {
    return skin_.levelled_height(x, z, side, anatomy_, levelling_);
  }

  void list_screws()
  {
    const ScrewParameters &p = s_.screws;
    if (p.proximal_x_mm.size() != p.proximal_z_mm.size() || p.proximal_x_mm.empty() || p.distal_z_mm.empty())
      throw Error(fmt::format("screws: {} proximal x, {} proximal z and {} distal z; proximal lists must be alike, none empty",
                              p.proximal_x_mm.size(), p.proximal_z_mm.size(), p.distal_z_mm.size()));
    for (std::size_t i = 0; i < p.proximal_x_mm.size(); ++i)
      fit.screws.push_back({"", p.proximal_x_mm[i], p.proximal_z_mm[i], 0, 0, 0, 0, true});
    for (const double z : p.distal_z_mm)
      fit.screws.push_back({"", s_.plate.craniocaudal_mm, z, 0, 0, 0, 0, false});
    std::stable_sort(fit.screws.begin(), fit.screws.end(),
                     [](const ScrewFit &a, const ScrewFit &b) { return a.proximal != b.proximal ? a.proximal : a.z > b.z; });
    for (std::size_t i = 0; i < fit.screws.size(); ++i)
      fit.screws[i].name = fmt::format("screw_{}", i + 1);
  }

  void draw_outline()
  {
    double low_x = 1e300, high_x = -1e300, low_head = 1e300, top = -1e300, bottom = 1e300;
    for (const ScrewFit &k : fit.screws)
    {
      bottom = std::min(bottom, k.z - end_mm);
      if (!k.proximal)
        continue;
      low_x = std::min(low_x, k.x), high_x = std::max(high_x, k.x);
      low_head = std::min(low_head, k.z), top = std::max(top, k.z + edge_mm);
    }
    const double head = 0.5 * (low_x + high_x), a = 0.5 * s_.plate.head_width_mm, h = low_head - head_below_mm;
    const double shaft = s_.plate.craniocaudal_mm, b = 0.5 * s_.plate.width_mm, neck = h - taper_mm;
    fit.plate.outline = {{shaft - b, bottom + end_corner_mm},
                         {shaft - b + end_corner_mm, bottom},
                         {shaft + b - end_corner_mm, bottom},
                         {shaft + b, bottom + end_corner_mm},
                         {shaft + b, neck},
                         {head + a, h},
                         {head + a, top - head_corner_mm},
                         {head + a - head_corner_mm, top},
                         {head - a + head_corner_mm, top},
                         {head - a, top - head_corner_mm},
                         {head - a, h},
                         {shaft - b, neck}};
    low_z_ = bottom, high_z_ = top;
  }

  /// x range of the (monotone in z) outline at one height.
  std::pair<double, double> width_at(double z) const
  {
    double low = 1e300, high = -1e300;
    const auto &o = fit.plate.outline;
    const double c = std::clamp(z, low_z_, high_z_);
    for (std::size_t i = 0; i < o.size(); ++i)
    {
      const auto &p = o[i], &q = o[(i + 1) % o.size()];
      if (c < std::min(p[1], q[1]) || c > std::max(p[1], q[1]))
        continue;
      const double t = p[1] == q[1] ? 0 : (c - p[1]) / (q[1] - p[1]);
      for (const double x : {p[0] + t * (q[0] - p[0]), p[1] == q[1] ? q[0] : p[0] + t * (q[0] - p[0])})
        low = std::min(low, x), high = std::max(high, x);
    }
    return {low, high};
  }

  /// Highest bone across the plate at one height; empty when there is none.
  std::optional<double> highest(double z) const
  {
    const auto w = width_at(z);
    std::optional<double> best;
    for (double x = w.first; x <= w.second + 1e-9; x += (w.second - w.first) / 24)
      if (const auto y = bone(x, z, +1); y && (!best || *y > *best))
        best = y;
    return best;
  }

  void contour_plate()
  {
    PlateFit &p = fit.plate;
    const double first = low_z_ - overhang_mm, last = high_z_ + overhang_mm;
    const int n = std::max(4, int(std::lround((last - first) / station_mm)));
    for (int i = 0; i <= n; ++i)
    {
      const double z = first + (last - first) * i / n;
      const auto y = highest(std::clamp(z, low_z_, high_z_ - 1.0));
      if (!y)
        throw Error(fmt::format("plate: misses the bone: none within its width at z = {:.1f} mm", z));
      p.stations.push_back({z, *y + s_.plate.stand_off_mm, 0, 0, 0});
    }
    extrapolate_ends();
    for (int sweep = 0; sweep < 30 && raise_stations() > 1e-3; ++sweep)
      ;
    measure_gap();
    offset_outer();
  }

  /// Beyond the outline the curve goes straight on.
  void extrapolate_ends()
  {
    auto &s = fit.plate.stations;
    const std::size_t n = s.size() - 1;
    s[0].inner_y = 2 * s[1].inner_y - s[2].inner_y;
    s[n].inner_y = 2 * s[n - 1].inner_y - s[n - 2].inner_y;
    fit.plate.settle();
  }

  /// Lifts the stations beside every place where the spline comes nearer than the stand-off. Returns the largest lift.
  double raise_stations()
  {
    auto &s = fit.plate.stations;
    std::vector<double> lift(s.size(), 0);
    for (double z = low_z_; z <= high_z_; z += 0.5)
    {
      const auto y = highest(z);
      if (!y)
        continue;
      const double need = *y + s_.plate.stand_off_mm - fit.plate.inner(z);
      const std::size_t i = std::min<std::size_t>((z - s[0].z) / (s[1].z - s[0].z), s.size() - 2);
      lift[i] = std::max(lift[i], need), lift[i + 1] = std::max(lift[i + 1], need);
    }
    for (std::size_t i = 0; i < s.size(); ++i)
      s[i].inner_y += lift[i];
    fit.plate.settle();
    return *std::max_element(lift.begin(), lift.end());
  }

  void measure_gap()
  {
    PlateFit &p = fit.plate;
    p.least_gap_mm = 1e300, p.largest_gap_mm = -1e300;
    int covered = 0, all = 0;
    for (double z = low_z_; z <= high_z_; z += 0.5)
    {
      const auto w = width_at(z);
      for (double x = w.first; x <= w.second; x += 0.5, ++all)
        if (const auto y = bone(x, z, +1))
        {
          ++covered;
          p.least_gap_mm = std::min(p.least_gap_mm, p.inner(z) - *y);
          p.largest_gap_mm = std::max(p.largest_gap_mm, p.inner(z) - *y);
        }
    }
    if (covered < least_cover * all)
      throw Error(fmt::format("plate: misses the bone: {:.0f} % of its outline has bone below, at least {:.0f} % is needed",
                              100.0 * covered / all, 100 * least_cover));
  }

  void offset_outer()
  {
    for (PlateFit::Station &s : fit.plate.stations)
    {
      const double f = fit.plate.slope(s.z), norm = std::sqrt(1 + f * f), t = s_.plate.thickness_mm;
      s.outer_z = s.z - t * f / norm;
      s.outer_y = s.inner_y + t / norm;
    }
  }

  void place_screws()
  {
    for (ScrewFit &k : fit.screws)
    {
      check_plan(k);
      const auto entry = bone(k.x, k.z, +1), exit = bone(k.x, k.z, -1);
      if (!entry || !exit)
        throw Error(fmt::format("{}: misses the bone at x = {:g}, z = {:g} mm", k.name, k.x, k.z));
      k.entry_y = *entry, k.exit_y = *exit, k.plate_y = fit.plate.inner(k.z), k.tip_y = *exit;
      for (int i = 0; i < 12; ++i)
        for (const int side : {+1, -1})
        {
          const double r = 0.5 * s_.screws.major_mm, a = i * pi / 6;
          const auto y = bone(k.x + r * std::cos(a), k.z + r * std::sin(a), side);
          if (!y)
            throw Error(fmt::format("{}: leaves the bone: no bone {:.2f} mm beside its axis at x = {:g}, z = {:g} mm", k.name, r,
                                    k.x, k.z));
          k.tip_y = std::min(k.tip_y, *y);
        }
      k.tip_y -= tip_beyond_mm;
      if (k.plate_y - k.entry_y > largest_gap_mm)
        throw Error(fmt::format("plate: misses the bone: {:.1f} mm of gap at {} (x = {:g}, z = {:g} mm), at most {:g} mm",
                                k.plate_y - k.entry_y, k.name, k.x, k.z, largest_gap_mm));
    }
  }

  /// Joint, cut, neighbours and plate edge, all in the plane across the screws.
  void check_plan(const ScrewFit &k) const
  {
    const double r = 0.5 * s_.screws.major_mm;
    const Vector3 p(k.x, 0, k.z), normal(-std::sin(anatomy_.plateau_angle_rad), 0, std::cos(anatomy_.plateau_angle_rad));
    const double below = -levelling_.turned(normal).dot(p - levelling_.moved(Vector3::Zero())) - r;
    if (below < joint_distance_mm)
      throw Error(fmt::format("{}: passes the joint surface: its thread lies {:.2f} mm below the plateau, at least {:g} mm is "
                              "needed (axis at x = {:g}, z = {:g} mm)",
                              k.name, below, joint_distance_mm, k.x, k.z));
    const double from_axis = std::hypot(k.x - levelling_.centre.x(), k.z - levelling_.centre.z());
    const double clear = (k.proximal ? levelling_.radius_mm - from_axis : from_axis - levelling_.radius_mm) - r;
    if (clear < cut_distance_mm)
      throw Error(fmt::format("{}: passes the cut: its thread clears the arc of radius {:g} mm by {:.2f} mm on the {} side, at "
                              "least {:g} mm is needed (axis at x = {:g}, z = {:g} mm)",
                              k.name, levelling_.radius_mm, clear, k.proximal ? "proximal" : "distal", cut_distance_mm, k.x,
                              k.z));
    for (const ScrewFit &other : fit.screws)
    {
      const double between = std::hypot(k.x - other.x, k.z - other.z) - 2 * r;
      if (&other != &k && between < screw_distance_mm)
        throw Error(fmt::format("{}: passes {}: {:.2f} mm between the threads, at least {:g} mm is needed", k.name, other.name,
                                between, screw_distance_mm));
    }
    check_plate_edge(k);
  }

  void check_plate_edge(const ScrewFit &k) const
  {
    const auto &o = fit.plate.outline;
    double edge = 1e300;
    for (std::size_t i = 0; i < o.size(); ++i)
    {
      // Counter-clockwise in (x, z): the inside is left of each side.
      const Eigen::Vector2d p(o[i].data()), q(o[(i + 1) % o.size()].data()), d = (q - p).normalized(),
                                                                             v(k.x - p.x(), k.z - p.y());
      const double t = std::clamp(v.dot(d), 0.0, (q - p).norm());
      const double distance = (v - t * d).norm();
      if (distance < std::abs(edge))
        edge = d.x() * v.y() - d.y() * v.x() < 0 ? -distance : distance;
    }
    edge -= 0.5 * s_.screws.core_mm;
    if (edge < plate_edge_mm)
      throw Error(fmt::format("{}: leaves the plate: {:.2f} mm from hole to edge, at least {:g} mm is needed (axis at x = {:g}, "
                              "z = {:g} mm)",
                              k.name, edge, plate_edge_mm, k.x, k.z));
  }

  const Scenario &s_;
  const Anatomy &anatomy_;
  const Levelling &levelling_;
  const Skin &skin_;
  double low_z_ = 0, high_z_ = 0;
};

/// Value and slope at z; straight on beyond the ends.
std::pair<double, double> spline(const std::vector<PlateFit::Station> &s, double z)
{
  const double h = s[1].z - s[0].z;
  const std::size_t i = std::clamp<double>(std::floor((z - s[0].z) / h), 0, s.size() - 2);
  const double b = std::clamp((z - s[i].z) / h, 0.0, 1.0), a = 1 - b;
  const double y = a * s[i].inner_y + b * s[i + 1].inner_y +
                   h * h / 6 * ((a * a * a - a) * s[i].curvature + (b * b * b - b) * s[i + 1].curvature);
  const double slope =
      (s[i + 1].inner_y - s[i].inner_y) / h - h / 6 * ((3 * a * a - 1) * s[i].curvature - (3 * b * b - 1) * s[i + 1].curvature);
  return {y + slope * (z - (s[i].z + b * h)), slope};
}
} // namespace

void PlateFit::settle()
{
  const Eigen::Index n = stations.size();
  const double h = stations[1].z - stations[0].z;
  Eigen::MatrixXd a = Eigen::MatrixXd::Identity(n, n);
  Eigen::VectorXd b = Eigen::VectorXd::Zero(n);
  for (Eigen::Index i = 1; i + 1 < n; ++i)
  {
    a(i, i - 1) = a(i, i + 1) = h / 6, a(i, i) = 4 * h / 6;
    b(i) = (stations[i + 1].inner_y - 2 * stations[i].inner_y + stations[i - 1].inner_y) / h;
  }
  const Eigen::VectorXd m = a.partialPivLu().solve(b);
  for (Eigen::Index i = 0; i < n; ++i)
    stations[i].curvature = m(i);
}

double PlateFit::inner(double z) const { return spline(stations, z).first; }
double PlateFit::slope(double z) const { return spline(stations, z).second; }

ImplantFit fit_implants(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const Skin &skin)
{
  return std::move(Fitter(scenario, anatomy, levelling, skin).fit);
}
} // namespace stifle::mesh
