// Repairs on paper: A6 advancement, A10 wedge, A14 a mis-aimed saw and an arc that is centred too far distal.
#include "models/parts/misaim.h"
#include "scenarios/checks/repair_checks_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
Rows advancement_lengths()
{
  const std::string arithmetic = "alternatives.md section 2b, A = L sin(PTA - 90): arithmetic";
  const double by_line = advancement_mm(40, radians(106.9)), by_tangent = advancement_mm(40, radians(99.1));
  const std::string bracket = "10.1055/s-0043-57046 (abstract): 9 mm failed at 135, 12 mm worked";
  const Advancement plan = plan_advancement(dog(3), make_anatomy(dog(3)));
  const double tendon_deg = degrees(plan.tendon_angle_before_rad);
  return {law("A6", "advancement, L 40, PTA 106.9 (plateau line)", by_line, {11.63, 0.05, "mm"}, arithmetic),
          law("A6", "advancement, L 40, PTA 99.1 (common tangent)", by_tangent, {6.33, 0.05, "mm"}, arithmetic),
          ranged("A6", "the plateau-line value lies in the tested bracket", by_line, {9, 12}, "mm", bracket),
          because(ranged("A6", "advancement planned for the default dog", plan.advancement_mm, {9, 12}, "mm", bracket),
                  fmt::format("the tuberosity and trochlea of the default dog give a tendon angle of {:.1f} deg to the plateau "
                              "line at 135, where films give 106.9 (row J4); they were not moved to fit",
                              tendon_deg)),
          reported("A6", "tendon angle after that advancement, stifle 135", degrees(plan.tendon_angle_after_rad), {90, 1, "deg"},
                   "aim of the repair, textbook p. 228 (read); reduced joint, the patella finds its place anew")};
}

Rows wedge_angles()
{
  const std::string closed = "alternatives.md section 2c, TPA - w + delta(w): arithmetic; TPA 25, D 75, L 200, a 10";
  const std::string limbs = "wedge angle against subluxation, Vet Surg, 6 cadaver limbs (abstract); D 75 was chosen with these "
                            "angles in view";
  const WedgeMeasures measures = {radians(25), 200, 75, 10};
  Rows rows;
  for (const auto &[wedge, printed] : {std::pair{30.0, 6.07}, {32.5, 4.45}})
    rows.push_back(law("A10", fmt::format("plateau angle after a wedge of {:g} deg", wedge),
                       degrees(wedge_achieved_rad(measures, radians(wedge))), {printed, 0.05, "deg"}, closed));
  for (const auto &[wedge, measured] : {std::pair{30.0, 5.9}, {32.5, 3.8}})
  {
    Scenario s = dog(3);
    s.wedge.wedge_deg = wedge;
    const double achieved = degrees(repaired_bone(s, RepairKind::wedge).levelling.achieved_angle_rad);
    rows.push_back(in_view(reported(
        "A10",
        fmt::format("the same of the default bone, {:g} deg (TPA + {:g}), cadaver", wedge, wedge - s.tibia.plateau_angle_deg),
        achieved, {measured, 1, "deg"}, limbs)));
  }
  return rows;
}

Rows misaimed_saw()
{
  const std::string source = "alternatives.md section 5, asin(sin phi sin eps): arithmetic";
  const double phi = radians(20), eps = radians(10);
  const double turned = degrees(std::abs(misaimed_angles(phi, eps, 0).frontal_rad));
  return {law("A14", "unwanted angle, phi 20, saw axis off by 10 deg", degrees(misaimed_rotation_rad(phi, eps)),
              {3.405, 1e-3, "deg"}, source),
          law("A14", "varus or valgus by the rotation matrix, transverse 10", turned, {3.405, 1e-3, "deg"}, source),
          law("A14", "torsion by the rotation matrix, frontal tilt 10",
              degrees(std::abs(misaimed_angles(phi, 0, eps).torsion_rad)), {3.405, 1e-3, "deg"}, source)};
}

struct Arc
{
  double plateau_deg, axis_mm, shift_mm;
};
Arc arc_about(double height_mm)
{
  const Scenario s = dog(3);
  const Anatomy a = make_anatomy(s);
  const OperatedAnatomy bone = operate(a, levelling_about(a, Vector3(0, 0, height_mm), s.levelling.saw_radius_mm, radians(20)));
  return {degrees(bone.levelling.achieved_angle_rad), bone.plateau_origin.x(), press_shift_mm(s, bone, LigamentState::torn, 135)};
}

Rows distal_arc()
{
  const Arc centred = arc_about(0), distal = arc_about(-10);
  const auto row = [&](const std::string &what, double Arc::*part, const std::string &unit)
  {
    return stated("A14", "distal-centred arc, phi 20: " + what + " larger", distal.*part > centred.*part,
                  fmt::format("Vet Surg 2005;34(4), 6 pairs (abstract, signs only); centre 10 mm distal (assumption), torn, set "
                              "press, 30 % of body weight, stifle 135; {:.3f} {}, centred {:.3f} {}",
                              distal.*part, unit, centred.*part, unit));
  };
  return {row("plateau angle", &Arc::plateau_deg, "deg"), row("shift of the axis", &Arc::axis_mm, "mm"),
          row("cranial shift", &Arc::shift_mm, "mm")};
}
} // namespace

std::vector<CheckCase> repair_plan_checks()
{
  return {{"A6", advancement_lengths}, {"A10", wedge_angles}, {"A14", misaimed_saw}, {"A14", distal_arc}};
}
} // namespace stifle::checks
