#include "mesh/implant_fit.h"
#include "mesh/screw_rules.h"
#include "mesh/user_holes.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::mesh
{
namespace
{
// Assumption: shape of the plate beyond the keys of the scenario, mm.
constexpr double edge_mm = 4.5;       // from a hole axis to the proximal edge of the head; more where a wide head asks for it
constexpr double end_mm = 6.0;        // from the last hole axis to the distal end
constexpr double head_below_mm = 5.0; // full head width below the lowest proximal hole
constexpr double taper_mm = 7.0;      // from head width to shaft width
constexpr double head_corner_mm = 6.0, end_corner_mm = 2.5;
constexpr double overhang_mm = 4.0; // the inner curve goes on beyond the outline
constexpr double station_mm = 9.0;
constexpr double least_step_mm = 0.05; // across a corner of a turned plate
// Refusals.
constexpr double least_cover = 0.8;    // part of the outline that has bone below
constexpr double plate_edge_mm = 1.0;
// Plain screw: head 6.0 mm on a 3.5 mm screw (memory, construct.md section 7), alike for other sizes (assumption); hole
// 0.5 mm wider than the thread (assumption).
constexpr double head_part = 6.0 / 3.5, plain_play_mm = 0.5;

/// Radius that a hole takes in the plate, head included.
double widest_radius(const HolePlan &h) { return 0.5 * h.major_mm * (h.kind == HoleKind::plain ? head_part : 1); }

class Fitter
{
public:
  Fitter(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const Skin &skin)
      : s_(scenario), site_{anatomy, levelling, skin}
  {
  }
  void fit_own()
  {
    plan_ = plan_holes(s_);
    turn_ = plate_turn(s_);
    fit.thickness_mm = s_.plate.thickness_mm;
    list_holes();
    draw_outline();
    contour_plate();
    for (ScrewFit &k : holes_)
      k.plate_y = fit.plate.inner(k.z);
    place_holes();
  }
  void fit_users(const UserPlate &user)
  {
    fit = seat_user_plate(s_, user, site_);
    holes_ = std::move(fit.screws);
    fit.screws.clear();
    place_holes();
    check_tilted(site_, fit.screws);
  }
  ImplantFit fit;

private:
  std::optional<double> bone(double x, double z, int side) const
  {
    return site_.height(x, z, side);
  }

  void list_holes()
  {
    for (const HolePlan &h : plan_)
    {
      const auto [x, z] = turn_(h.x, h.z);
      holes_.push_back({h.name, x, z, 0, 0, 0, 0, h.proximal, h.kind, h.core_mm, h.major_mm, h.both_cortices, h.length_mm,
                        h.preload_n, h.compression_n});
    }
  }

  void draw_outline()
  {
    if (s_.plate.widths_mm.empty())
      draw_head_and_shaft();
    else
      draw_widths();
    low_z_ = 1e300, high_z_ = -1e300;
    for (auto &corner : fit.plate.outline)
    {
      corner = turn_(corner[0], corner[1]);
      low_z_ = std::min(low_z_, corner[1]), high_z_ = std::max(high_z_, corner[1]);
    }
  }

  /// Proximal and distal end along the plate, before the turn.
  std::pair<double, double> ends() const
  {
    double top = -1e300, bottom = 1e300;
    for (const HolePlan &h : plan_)
      top = std::max(top, h.z + std::max(edge_mm, widest_radius(h) + 1.1 * plate_edge_mm)), bottom = std::min(bottom, h.z - end_mm);
    return {top, s_.plate.length_mm ? top - *s_.plate.length_mm : bottom};
  }

  /// Right side upwards, left side downwards: counter-clockwise in (x, z).
  void draw_widths()
  {
    const auto [top, bottom] = ends();
    const auto &w = s_.plate.widths_mm;
    const std::size_t n = std::max<std::size_t>(w.size(), 2);
    std::vector<std::array<double, 2>> right, left;
    for (std::size_t i = 0; i < n; ++i)
    {
      const double z = top + (bottom - top) * i / (n - 1), half = 0.5 * w[std::min(i, w.size() - 1)];
      right.push_back({s_.plate.craniocaudal_mm + half, z});
      left.push_back({s_.plate.craniocaudal_mm - half, z});
    }
    fit.plate.outline.assign(right.rbegin(), right.rend());
    fit.plate.outline.insert(fit.plate.outline.end(), left.begin(), left.end());
  }

  void draw_head_and_shaft()
  {
    double low_x = 1e300, high_x = -1e300, low_head = 1e300;
    const auto [top, bottom] = ends();
    for (const HolePlan &h : plan_)
      if (h.proximal)
      {
        low_x = std::min(low_x, h.x), high_x = std::max(high_x, h.x);
        low_head = std::min(low_head, h.z);
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
    if (neck - bottom < end_corner_mm)
      throw Error(fmt::format("plate: {:.1f} mm long (plate.length_mm), its head ends {:.1f} mm from the proximal end",
                              top - bottom, top - neck));
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
    for (double x = w.first; x <= w.second + 1e-9; x += std::max(least_step_mm, (w.second - w.first) / 24))
      if (const auto y = bone(x, z, +1); y && (!best || *y > *best))
        best = y;
    return best;
  }

  /// Between the inner curve and the highest bone below it; a plate that presses is shaped to the bone from there on.
  double clearance_mm() const
  {
    return s_.plate.bone_contact == "none" ? s_.plate.stand_off_mm : -s_.plate.contact_depth_mm;
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
      p.stations.push_back({z, *y + clearance_mm(), 0, 0, 0});
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
      const double need = *y + clearance_mm() - fit.plate.inner(z);
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

  void place_holes()
  {
    for (ScrewFit &k : holes_)
    {
      if (k.kind != HoleKind::open)
        check_plan(site_, k, Vector3(k.x, 0, k.z));
      check_neighbours(k, holes_);
      if (k.bore_mm == 0)
        check_plate_edge(k);
      if (k.kind != HoleKind::open)
        place_screw(site_, k, outer_face(k));
      (k.kind == HoleKind::open ? fit.open_holes : fit.screws).push_back(k);
    }
  }

  /// Where the axis leaves the outer face of the plate; the inner face is nearly straight across a hole.
  double outer_face(const ScrewFit &k) const
  {
    return k.bore_mm > 0 ? k.bore_top_y : k.plate_y + s_.plate.thickness_mm * std::hypot(1, fit.plate.slope(k.z));
  }

  void check_plate_edge(const ScrewFit &k) const
  {
    const auto &o = fit.plate.outline;
    double edge = 1e300;
    Eigen::Vector2d side;
    for (std::size_t i = 0; i < o.size(); ++i)
    {
      // Counter-clockwise in (x, z): the inside is left of each side.
      const Eigen::Vector2d p(o[i].data()), q(o[(i + 1) % o.size()].data()), d = (q - p).normalized(),
                                                                             v(k.x - p.x(), k.z - p.y());
      const double t = std::clamp(v.dot(d), 0.0, (q - p).norm());
      const double distance = (v - t * d).norm();
      if (distance < std::abs(edge))
        edge = d.x() * v.y() - d.y() * v.x() < 0 ? -distance : distance, side = d;
    }
    edge -= 0.5 * (k.kind == HoleKind::plain ? k.head_mm() : k.hole_mm());
    if (edge < plate_edge_mm)
      throw Error(fmt::format("{}: leaves the plate: {:.2f} mm from {} to edge, at least {:g} mm is needed (axis at x = {:g}, "
                              "z = {:g} mm); {}",
                              k.name, edge, k.kind == HoleKind::plain ? "head" : "hole", plate_edge_mm, k.x, k.z,
                              room_for(k, plate_edge_mm - edge, side)));
  }

  /// What to change where a hole lies too near to a side of the outline (unit vector along it).
  std::string room_for(const ScrewFit &k, double missing_mm, const Eigen::Vector2d &side) const
  {
    const std::string move = k.proximal ? "move the hole (screws.proximal_x_mm, proximal_z_mm)" : "move the hole (screws.distal_x_mm, distal_z_mm)";
    if (std::abs(side.x()) > 1.1 * std::abs(side.y()))
      return s_.plate.length_mm ? fmt::format("another plate.length_mm (now {:g}), or {}", *s_.plate.length_mm, move) : move;
    if (!s_.plate.widths_mm.empty())
      return "wider plate.widths_mm there, or " + move;
    const double now = k.proximal ? s_.plate.head_width_mm : s_.plate.width_mm;
    const double wanted = now + 2 * missing_mm / std::abs(side.y()); // both sides go out
    return fmt::format("plate.{} of about {:.1f} (now {:g}), or {}", k.proximal ? "head_width_mm" : "width_mm",
                       std::ceil(10 * wanted) / 10, now, move);
  }

  const Scenario &s_;
  BoneSite site_;
  std::vector<HolePlan> plan_; // before the turn
  PlateTurn turn_;
  std::vector<ScrewFit> holes_; // all of them, in place
  double low_z_ = 0, high_z_ = 0;
};
} // namespace

Vector3 ScrewFit::at(double y) const
{
  const double along = (y - plate_y) / axis.y();
  return Vector3(x + along * axis.x(), y, z + along * axis.z());
}
double ScrewFit::off_axis(const Vector3 &p) const
{
  const Vector3 on = at(p.y());
  return std::hypot(p.x() - on.x(), p.z() - on.z());
}
double ScrewFit::hole_mm() const
{
  return bore_mm > 0 ? bore_mm : kind == HoleKind::locking ? core_mm : kind == HoleKind::plain ? major_mm + plain_play_mm : major_mm;
}
double ScrewFit::head_mm() const { return head_part * major_mm; }
double ScrewFit::outer_mm() const { return kind == HoleKind::plain ? head_mm() : std::max(major_mm, bore_mm); }

ImplantFit fit_implants(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const Skin &skin,
                        const UserPlate *user)
{
  Fitter fitter(scenario, anatomy, levelling, skin);
  if (user)
    fitter.fit_users(*user);
  else
    fitter.fit_own();
  return std::move(fitter.fit);
}
} // namespace stifle::mesh
