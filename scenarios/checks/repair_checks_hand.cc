// The suture on the bench: A2 drawer force, A4 tension over the motion, A5 pressure under pre-tension. Flexion is held and the
// other five parts of the pose are free.
#include "models/core/error.h"
#include "models/joint/passive.h"
#include "models/joint/spatial_equilibrium.h"
#include "scenarios/checks/repair_checks_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
/// Hand force along the plateau for a cranial shift from the pose without it; Error beyond 2000 N.
double force_for_shift_n(const JointCase &held, double shift_mm)
{
  const double place = moved_by_hand(held, 0).translation_cranial_mm + shift_mm;
  double force = 0, step = 32;
  while (step > 1e-3)
    if (moved_by_hand(held, force + step).translation_cranial_mm > place)
      step /= 2;
    else if ((force += step) > 2000)
      throw Error("the tibia does not give way to 2000 N");
  return force;
}

Rows drawer_force()
{
  const Scenario s = dog(3);
  const OperatedAnatomy whole = repaired_bone(s, RepairKind::none), sutured = repaired_bone(s, RepairKind::suture);
  const auto force = [&](const OperatedAnatomy &bone, LigamentState state)
  { return force_for_shift_n(held_case(s, bone, state, 45), 5); };
  const double intact = force(whole, LigamentState::intact), held = force(sutured, LigamentState::torn),
               loose = force(whole, LigamentState::torn);
  const std::string source =
      "10.1111/j.1532-950X.2014.12111.x (abstract); stifle 135 and flexion held, no muscle, 20 N across the "
      "plateau (passive.compression_n), hand on the tibia at the intercondylar point along the plateau, rest of the pose free "
      "(all assumed)";
  const std::string anchor = "; suture.anchor_stiffness_n_per_mm is derived from these 72 N";
  return {reported("A2", "force for 5 mm cranial shift, intact", intact, {400, 105, "N"}, source + "; 3 SD"),
          in_view(ranged("A2", "the same, torn with a suture (72 measured)", held, {0, 160}, "N",
                         source + anchor + fmt::format("; torn without it {:.0f} N", loose))),
          in_view(ranged("A2", "intact over suture", intact / held, {3, 15}, "", source + anchor))};
}

struct Tension
{
  double force_n, rotation_deg; ///< rotation inwards
};
Tension tension_at(double fixed_deg, double stifle_deg)
{
  Scenario s = dog(3);
  s.suture.fixed_at_deg = fixed_deg;
  const JointState state =
      moved_by_hand(held_case(s, repaired_bone(s, RepairKind::suture), LigamentState::torn, 180 - stifle_deg), 0);
  return {state.repair_load_n, degrees(state.rotation_internal_rad)};
}

/// Distance of the flexion axis from the line, caudal above 0: what a radian of flexion takes off its length.
double caudal_lever_mm(const SutureLine &line, const Anatomy &a, double stifle_deg)
{
  const double step = radians(0.01);
  return (reduced_suture_length_mm(line, a, radians(stifle_deg) + step) -
          reduced_suture_length_mm(line, a, radians(stifle_deg) - step)) /
         (2 * step);
}

CheckRow least_change_row()
{
  const Anatomy a = make_anatomy(dog(3));
  const SutureLine line = plan_suture(dog(3), a);
  const auto change = [&](double caudal, double distal)
  {
    SutureLine moved = line;
    moved.tibia += Vector3(-caudal, 0, -distal);
    return std::abs(reduced_suture_length_mm(moved, a, radians(150)) - reduced_suture_length_mm(moved, a, radians(45)));
  };
  const double here = change(0, 0), caudal = change(10, 0), distal = change(0, 20), both = change(10, 20);
  return stated("A4", "the proximal cranial hole changes length least, 150 to 45", here < std::min({caudal, distal, both}),
                fmt::format("10.1055/s-0037-1617364 (abstract); reduced joint; {:.1f} mm, 10 mm caudal {:.1f}, 20 mm distal "
                            "{:.1f}, both {:.1f} mm",
                            here, caudal, distal, both));
}

Rows tension_over_motion()
{
  const Anatomy a = make_anatomy(dog(3));
  const SutureLine line = plan_suture(dog(3), a);
  const auto length = [&](double deg) { return reduced_suture_length_mm(line, a, radians(deg)); };
  const std::string source = "10.1111/j.1532-950X.2010.00659.x (abstract, no N); torn, by hand, 20 N across the plateau";
  const std::string why = fmt::format(
      "the straight line from the assumed fabella passes {:.1f} mm caudal of the axis of flexion at 150 and {:.1f} mm at 45, so "
      "flexion shortens it, from {:.1f} to {:.1f} mm ({:.1f} mm from 150 to 70); to rise it would have to pass cranial of the "
      "axis, and no hole of the crest does that to a fabella behind the condyle",
      caudal_lever_mm(line, a, 150), caudal_lever_mm(line, a, 45), length(150), length(45), length(150) - length(70));
  const Tension start = tension_at(150, 150), end = tension_at(150, 45), slack = tension_at(70, 150);
  return {because(stated("A4", "fixed at 150: tension at 45 is larger than at 150", end.force_n > start.force_n,
                         source + fmt::format("; {:.1f} N at 150, {:.1f} at 120, {:.1f} at 90, {:.1f} N at 45", start.force_n,
                                              tension_at(150, 120).force_n, tension_at(150, 90).force_n, end.force_n)),
                  why),
          because(reported("A4", "fixed at 70: tension at 150", slack.force_n, {0, 1, "N"},
                           source + "; slack: below 1 N, our reading"),
                  why + fmt::format("; fixed at 70 it turns the tibia {:.0f} deg outwards at 150", -slack.rotation_deg)),
          least_change_row()};
}

struct Pressed
{
  Compartment side;
  double place_mm, rotation_deg; ///< cranial of the intercondylar point; inwards
};
Pressed under_pre_tension(double pre_tension_n, double axial_n, LigamentState ligament)
{
  Scenario s = dog_of_mass(22);
  s.suture.pre_tension_n = pre_tension_n;
  const OperatedAnatomy bone = repaired_bone(s, RepairKind::suture);
  const SpatialSetup setup(
      {s, bone, ligament, LoadSet::axial, set_load(s, bone, LoadSet::axial, radians(s.suture.fixed_at_deg), axial_n)});
  const Vector7 y = hand_pose(setup, reference_unknowns(setup)); // a rig, not a hand
  return {compartment(setup, y, lateral), -y(0), -degrees(y(4) / pose_lever_mm)};
}

Rows pressure_under_pre_tension()
{
  const std::string source = "10.1111/j.1532-950x.2010.00664.x (abstract), 21-24 kg; fixed and measured at stifle 140 (assumed)";
  const auto at = [&](double axial, LigamentState ligament) {
    return std::pair{under_pre_tension(25, axial, ligament), under_pre_tension(70, axial, ligament)};
  };
  const auto free = at(0, LigamentState::torn), loaded = at(150, LigamentState::torn), whole = at(150, LigamentState::intact);
  const auto change = [](const std::pair<Pressed, Pressed> &p)
  { return 100 * (p.second.side.peak_mpa() / p.first.side.peak_mpa() - 1); };
  const auto &[slack, tight] = loaded;
  return {
      stated("A5", "no load: lateral peak pressure rises from 25 to 70 N, torn", change(free) > 0,
             source + fmt::format("; {:.2f} to {:.2f} MPa", free.first.side.peak_mpa(), free.second.side.peak_mpa())),
      because(reported("A5", "150 N axial: change of the lateral peak, 25 to 70 N, torn", change(loaded), {0, 10, "%"}, source),
              fmt::format("here the axial load runs the cut joint {:.1f} mm cranial into the line; the tighter one stops it at "
                          "{:.1f} mm and turns the tibia from {:.1f} to {:.1f} deg outwards, and the lateral load goes from the "
                          "meniscus ({:.0f} to {:.0f} N) to the cartilage ({:.0f} to {:.0f} N)",
                          slack.place_mm, tight.place_mm, -slack.rotation_deg, -tight.rotation_deg, slack.side.meniscus_n,
                          tight.side.meniscus_n, slack.side.cartilage_n, tight.side.cartilage_n)),
      because(reported("A5", "the same with an intact cruciate", change(whole), {0, 10, "%"},
                       source + "; whether the cruciate was cut there is not in our sheet"),
              "the line turns the tibia outwards under load too")};
}
} // namespace

std::vector<CheckCase> repair_hand_checks()
{
  return {{"A2", drawer_force}, {"A4", tension_over_motion}, {"A5", pressure_under_pre_tension}};
}
} // namespace stifle::checks
