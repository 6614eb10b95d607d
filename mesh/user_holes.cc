#include "mesh/user_holes.h"
#include "models/core/error.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <tuple>

namespace stifle::mesh
{
namespace
{
// Assumptions.
constexpr double most_tilt_deg = 20;      // of a hole against y: the skin is sampled along y
constexpr double most_seat_mm = 5;        // the landmarks are wrong beyond it
constexpr double least_gap_mm = 0.1;      // plate against bone where the landmarks alone place it: the mesh needs a gap
constexpr double narrow_mm = 0.05;        // a core may be wider than its hole by this
constexpr double most_hole = 2.0;         // a hole against the thread of its screw
constexpr double least_ring_mm = 0.5;     // length of a hole that is there all round
constexpr double same_height_mm = 0.1;
constexpr double straight = 1e-6; // round-off of a file
constexpr double recess_mm = 0.4, flat_mm = 0.01; // a head ends this far from a slanted rim: no crescent as thin as a hair

struct Gap
{
  double mm = 1e300;
  Vector3 at = Vector3::Zero();
};

/// Along y, least over the surface of the plate; below 0 in the bone.
Gap least_gap(const UserPlate &user, const BoneSite &site)
{
  Gap gap;
  for (const Vector3 &p : user.surface)
    if (const auto y = site.height(p.x(), p.z(), +1); y && p.y() - *y < gap.mm)
      gap = {p.y() - *y, p};
  if (gap.mm > 1e299)
    throw Error("plate: misses the bone: no point of it lies over the bone as plate.landmarks_bone_mm places it");
  return gap;
}

double seat(const Scenario &scenario, const Gap &gap)
{
  const std::string place = fmt::format("x = {:.1f}, y = {:.1f}, z = {:.1f} mm", gap.at.x(), gap.at.y(), gap.at.z());
  if (scenario.plate.seating == "landmarks")
  {
    if (gap.mm < least_gap_mm)
      throw Error(fmt::format("plate: {:.2f} mm {} the bone at {}, at least {:g} mm off it is needed; plate.seating: stand_off moves it",
                              std::abs(gap.mm), gap.mm < 0 ? "inside" : "off", place, least_gap_mm));
    return 0;
  }
  const double shift = scenario.plate.stand_off_mm - gap.mm;
  if (std::abs(shift) > most_seat_mm)
    throw Error(fmt::format("plate: plate.landmarks_bone_mm put it {:.2f} mm {} the bone at {}; at most {:g} mm from plate.stand_off_mm "
                            "can be made good",
                            std::abs(gap.mm), gap.mm < 0 ? "inside" : "off", place, most_seat_mm));
  return shift;
}

struct Found
{
  ScrewFit hole;
  double height; // rounded: holes side by side are told apart by x
};

Found find(const StepHole &h, double seat_mm, const BoneSite &site)
{
  Found f{};
  const double end = 0.5 * h.length_mm, recess = std::min(recess_mm, 0.2 * (h.full_high_mm - h.full_low_mm));
  const double low = h.full_low_mm + (h.full_low_mm + end > flat_mm ? recess : 0);
  const double high = h.full_high_mm - (end - h.full_high_mm > flat_mm ? recess : 0);
  const Vector3 inner = h.middle + low * h.axis + seat_mm * Vector3::UnitY();
  f.hole.axis = (h.axis - Vector3::UnitY()).norm() < straight ? Vector3::UnitY() : h.axis;
  f.hole.x = inner.x(), f.hole.z = inner.z(), f.hole.plate_y = inner.y();
  f.hole.bore_mm = h.diameter_mm;
  f.hole.bore_top_y = inner.y() + (high - low) * h.axis.y();
  const auto entry = axis_meets_skin(site, f.hole, +1);
  f.hole.proximal = site.levelling.proximal(f.hole.at(entry.value_or(inner.y())));
  f.height = std::round(inner.z() / same_height_mm);
  return f;
}

void check_fit(const ScrewFit &k)
{
  if (k.kind == HoleKind::open)
    return;
  if (k.kind == HoleKind::plain)
    throw Error(fmt::format("{}: a plain screw needs a countersink, which is not recognised in a user's plate; screws.holes: locking "
                            "or none", k.name));
  const double tilt = degrees(std::acos(std::min(1.0, k.axis.y())));
  if (tilt > most_tilt_deg)
    throw Error(fmt::format("{}: its hole is {:.1f} deg off the mediolateral direction, at most {:g} deg", k.name, tilt, most_tilt_deg));
  if (k.bore_mm < k.core_mm - narrow_mm || k.bore_mm > most_hole * k.major_mm)
    throw Error(fmt::format("{}: a hole of {:.2f} mm does not take a screw with core {:g} and thread {:g} mm: {:g} to {:g} mm; "
                            "screws.sizes names another, screws.holes: none leaves it empty",
                            k.name, k.bore_mm, k.core_mm, k.major_mm, k.core_mm, most_hole * k.major_mm));
  if (k.bore_top_y - k.plate_y < least_ring_mm)
    throw Error(fmt::format("{}: the hole is there all round for {:.2f} mm of its depth, at least {:g} mm is needed", k.name,
                            k.bore_top_y - k.plate_y, least_ring_mm));
}

/// The keys of the screws, by the numbers of the holes.
void fill(std::vector<Found> &all, const ScrewParameters &screws)
{
  std::vector<HolePlan> plan(all.size());
  fill_holes(plan, screws);
  name_holes(plan);
  for (std::size_t i = 0; i < all.size(); ++i)
  {
    ScrewFit &k = all[i].hole;
    k.name = plan[i].name, k.kind = plan[i].kind;
    k.core_mm = plan[i].core_mm, k.major_mm = plan[i].major_mm;
    k.both_cortices = plan[i].both_cortices, k.length_mm = plan[i].length_mm;
    if (std::abs(k.core_mm - k.bore_mm) < narrow_mm)
      k.core_mm = k.bore_mm; // one cylinder, no step as thin as a hair
  }
}
} // namespace

ImplantFit seat_user_plate(const Scenario &scenario, const UserPlate &user, const BoneSite &site)
{
  ImplantFit fit;
  fit.thickness_mm = user.thickness_mm;
  fit.seat_mm = seat(scenario, least_gap(user, site));
  std::vector<Found> all;
  for (const StepHole &h : user.holes)
    all.push_back(find(h, fit.seat_mm, site));
  std::stable_sort(all.begin(), all.end(),
                   [](const Found &a, const Found &b)
                   {
                     return std::tuple(!a.hole.proximal, -a.height, a.hole.x) < std::tuple(!b.hole.proximal, -b.height, b.hole.x);
                   });
  fill(all, scenario.screws);
  for (const bool proximal : {true, false})
    if (std::none_of(all.begin(), all.end(),
                     [&](const Found &f) { return f.hole.proximal == proximal && f.hole.kind != HoleKind::open; }))
      throw Error(fmt::format("plate: no screw in the {} segment: {} holes found, screws.holes fills none of them there",
                              proximal ? "proximal" : "distal", all.size()));
  for (const Found &f : all)
  {
    check_fit(f.hole);
    fit.screws.push_back(f.hole);
  }
  return fit;
}

std::vector<std::string> list_holes(const Scenario &scenario, const ImplantFit &fit, const RigidFit &placement)
{
  std::vector<ScrewFit> all = fit.screws;
  all.insert(all.end(), fit.open_holes.begin(), fit.open_holes.end());
  const auto number = [](const ScrewFit &k) { return std::stoi(k.name.substr(k.name.find('_') + 1)); };
  std::sort(all.begin(), all.end(), [&](const ScrewFit &a, const ScrewFit &b) { return number(a) < number(b); });
  std::vector<std::string> lines = {
      fmt::format("plate {}: {} holes; landmarks fit within {:.2f} mm (point {}), then moved {:+.2f} mm along y to stand off",
                  *scenario.plate.file, all.size(), placement.worst_mm, placement.worst_point + 1, fit.seat_mm),
      "  hole  diameter  on the bone x, y, z mm       axis x, y, z          in the file x, y, z mm    segment   screw"};
  for (const ScrewFit &k : all)
  {
    const Vector3 p(k.x, k.plate_y, k.z), f = placement.turn.transpose() * (p - fit.seat_mm * Vector3::UnitY() - placement.shift);
    const std::string screw = k.kind == HoleKind::open
                                  ? "none"
                                  : fmt::format("{}, core {:g}, thread {:g} mm, {:.1f} mm long", k.name, k.core_mm, k.major_mm,
                                                (k.bore_top_y - k.tip_y) / k.axis.y());
    lines.push_back(fmt::format("  {:4}  {:5.2f} mm  {:7.2f} {:7.2f} {:7.2f}  {:6.3f} {:6.3f} {:6.3f}  {:7.2f} {:7.2f} {:7.2f}  {:8}  {}",
                                number(k), k.bore_mm, p.x(), p.y(), p.z(), k.axis.x(), k.axis.y(), k.axis.z(), f.x(), f.y(), f.z(),
                                k.proximal ? "proximal" : "distal", screw));
  }
  return lines;
}
} // namespace stifle::mesh
