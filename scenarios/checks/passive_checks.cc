// The joint moved by hand: J18 drawer, J19 passive flexion.
#include "models/core/error.h"
#include "models/joint/passive.h"
#include "models/joint/spatial_equilibrium.h"
#include "scenarios/checks/repair_checks_support.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
/// The rows of passive.csv for that flexion.
struct Drawer
{
  double laxity_mm = 0;
  std::string held_by; ///< at the cranial end
};
Drawer drawer_of(const std::vector<PassiveRow> &rows, const Scenario &s, LigamentState ligament, double flexion_deg)
{
  for (const PassiveRow &row : rows)
    if (row.test == "drawer" && row.ligament == ligament && row.hand_force_n > 0 &&
        std::abs(row.stifle_angle_deg - (180 - flexion_deg)) < 1e-9)
    {
      if (!row.total_laxity_mm)
        throw Error("the drawer did not converge: " + row.state.reason);
      const PlateauForces f = plateau_forces(held_case(s, bone_at(s, 25), ligament, flexion_deg), row.state);
      return {*row.total_laxity_mm, fmt::format("{:.1f} mm cranial of the intercondylar point the menisci hold {:.0f} N and the "
                                                "capsule {:.0f} N of the push",
                                                row.state.translation_cranial_mm, -f.menisci, -f.capsule)};
    }
  throw Error("passive.csv has no such drawer");
}

Rows drawer()
{
  const std::string source =
      "brief (source not found again), joint.md section 3; total_laxity_mm of passive.csv: travel from -50 to +50 N along the "
      "plateau "
      "at the intercondylar point (assumed there too), 20 N across it, flexion held, the other parts of the pose free; "
      "slack of capsule and menisci were chosen with this size in view";
  const std::vector<std::pair<double, double>> published = {{0, 7.7}, {20, 13.0}, {40, 10.4}, {60, 7.6}};
  Scenario s = dog(3);
  s.repair.kind = {"none"};
  s.passive.flexion_deg = {0, 20, 40, 60};
  const std::vector<PassiveRow> table = passive_rows(s);
  Rows rows;
  double largest = 0, at_largest = 0, intact = 0;
  for (const auto &[flexion, size] : published)
  {
    const Drawer torn = drawer_of(table, s, LigamentState::torn, flexion);
    const double here = torn.laxity_mm;
    rows.push_back(because(
        in_view(reported("J18", fmt::format("drawer, torn, flexion {:g}", flexion), here, {size, 0.3 * size, "mm"}, source)),
        torn.held_by));
    if (here > largest)
    {
      largest = here;
      at_largest = flexion;
    }
    intact = std::max(intact, drawer_of(table, s, LigamentState::intact, flexion).laxity_mm);
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
    const Scenario s = dog(3);
    const SpatialSetup setup(held_case(s, bone_at(s, 25), ligament, flexion)); // its pose hangs on the one before
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
      "10.3389/fvets.2023.1207164 (abstract); 0 to 55 deg of flexion, 20 N across the plateau (a joint without "
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
