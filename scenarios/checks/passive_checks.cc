// The joint moved by hand: J18 drawer, J19 passive flexion.
#include "models/core/error.h"
#include "models/joint/spatial_equilibrium.h"
#include "scenarios/checks/repair_checks_support.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
constexpr double seating_n = 10; ///< across the plateau: keeps the condyles on it, as a hand does, without a thrust

SpatialSetup by_hand(double flexion_deg, LigamentState ligament, double drawer_n)
{
  SpatialSetup setup(press_case(dog(3), {25, 180 - flexion_deg, seating_n, ligament, LoadSet::axial}));
  setup.load.ground_force.setZero();
  setup.hand_force = drawer_n * setup.plateau.axes.col(0) + seating_n * setup.plateau.axes.col(2);
  return setup;
}

struct Pushed
{
  double place_mm = 0, menisci_n = 0, capsule_n = 0; ///< cranial of the intercondylar point; caudal pull along the plateau
};
Pushed push(double flexion_deg, LigamentState ligament, double force_n)
{
  const SpatialSetup setup = by_hand(flexion_deg, ligament, force_n);
  const Vector7 y = hand_pose(setup, reference_unknowns(setup));
  const SpatialBalance b = spatial_balance(setup, y);
  const Vector3 chord = setup.plateau.axes.col(0);
  Pushed p;
  p.place_mm = -y(0);
  for (int side : {medial, lateral})
    p.menisci_n -= b.rim[side].on_tibia.head<3>().dot(chord);
  for (std::size_t i = 0; i < b.bundle_forces.size(); ++i)
    if (setup.anatomy.joint.bundles[i].group == "capsule")
      p.capsule_n -= b.bundle_forces[i].dot(chord);
  return p;
}

Rows drawer()
{
  const std::string source =
      "brief (source not found again), joint.md section 3; travel from -50 to +50 N along the plateau at the "
      "intercondylar point (assumed there too), 10 N across it, flexion held, the other parts of the pose free; "
      "slack of capsule and menisci were chosen with this size in view";
  const std::vector<std::pair<double, double>> published = {{0, 7.7}, {20, 13.0}, {40, 10.4}, {60, 7.6}};
  Rows rows;
  double largest = 0, at_largest = 0, intact = 0;
  for (const auto &[flexion, size] : published)
  {
    const Pushed caudal = push(flexion, LigamentState::torn, -50), cranial = push(flexion, LigamentState::torn, 50);
    const double here = cranial.place_mm - caudal.place_mm;
    rows.push_back(because(
        in_view(reported("J18", fmt::format("drawer, torn, flexion {:g}", flexion), here, {size, 0.3 * size, "mm"}, source)),
        fmt::format("{:.1f} mm cranial of the intercondylar point the menisci hold {:.0f} N and the capsule {:.0f} N of "
                    "the push",
                    cranial.place_mm, cranial.menisci_n, cranial.capsule_n)));
    if (here > largest)
    {
      largest = here;
      at_largest = flexion;
    }
    intact =
        std::max(intact, push(flexion, LigamentState::intact, 50).place_mm - push(flexion, LigamentState::intact, -50).place_mm);
  }
  rows.push_back(
      because(in_view(reported("J18", "flexion (0, 20, 40, 60) of the largest drawer", at_largest, {20, 0, "deg"}, source)),
              "the caudal capsule tightens towards extension (taut below some 30 deg of flexion) and presses the condyles into "
              "their menisci, so the drawer falls all the way from 60 to 0 deg"));
  rows.push_back(in_view(reported("J18", "drawer, intact, largest (at most 4)", intact, {2, 2, "mm"}, source)));
  return rows;
}

/// Poses at 0, 5, ... 55 deg of flexion, each started from the one before; `back`: from 55 to 0, in the same order as above.
std::vector<Vector7> passive_path(LigamentState ligament, bool back)
{
  std::vector<double> steps;
  for (double flexion = 0; flexion <= 55; flexion += 5)
    steps.push_back(back ? 55 - flexion : flexion);
  std::vector<Vector7> path;
  for (double flexion : steps)
  {
    const SpatialSetup setup = by_hand(flexion, ligament, 0);
    path.push_back(hand_pose(setup, path.empty() ? reference_unknowns(setup) : path.back()));
  }
  if (back)
    std::reverse(path.begin(), path.end());
  return path;
}

/// Largest distance of two paths: mm of the place, deg of the rotations.
std::pair<double, double> apart(const std::vector<Vector7> &a, const std::vector<Vector7> &b)
{
  std::pair<double, double> most = {0, 0};
  for (std::size_t i = 0; i < a.size(); ++i)
  {
    const Vector7 d = a[i] - b[i];
    most.first = std::max(most.first, d.head<3>().norm());
    most.second = std::max(most.second, degrees(d.segment<2>(3).norm() / pose_lever_mm));
  }
  return most;
}

Rows passive_flexion()
{
  const std::string source =
      "10.3389/fvets.2023.1207164 (abstract); 0 to 55 deg of flexion, 10 N across the plateau (a joint without "
      "any load has no single pose), flexion held";
  const std::vector<Vector7> there = passive_path(LigamentState::intact, false), back = passive_path(LigamentState::intact, true);
  const double caudal = there.back()(0) - there.front()(0),
               internal = -degrees((there.back()(4) - there.front()(4)) / pose_lever_mm);
  const std::vector<Vector7> torn = passive_path(LigamentState::torn, false);
  const auto way = apart(there, back), cut = apart(there, torn);
  const std::string why =
      fmt::format("below some 30 deg of flexion the caudal capsule is taut and pushes the tibia cranially against the "
                  "cruciate; at 40 deg, where it is slack, the change is {:.2f} mm and {:.2f} deg",
                  (there[8] - torn[8]).head<3>().norm(), degrees((there[8] - torn[8]).segment<2>(3).norm() / pose_lever_mm));
  return {stated("J19", "flexion takes the tibia caudal", caudal > 0, source + fmt::format("; {:.2f} mm", caudal)),
          stated("J19", "flexion turns the tibia inward", internal > 0, source + fmt::format("; {:.2f} deg", internal)),
          reported("J19", "way back apart from the way there", way.first, {0, 0.05, "mm"},
                   source + "; same path, to reading accuracy"),
          reported("J19", "way back apart from the way there, rotation", way.second, {0, 0.1, "deg"},
                   source + "; same path, to reading accuracy"),
          because(reported("J19", "change by cutting the cranial cruciate", cut.first, {0, 1, "mm"}, source), why),
          because(reported("J19", "change by cutting it, rotation", cut.second, {0, 2, "deg"}, source), why)};
}
} // namespace

std::vector<CheckCase> passive_checks() { return {{"J18", drawer}, {"J19", passive_flexion}}; }
} // namespace stifle::checks
