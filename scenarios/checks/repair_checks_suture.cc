// The lateral suture in a walking dog: A1 force in the line, A3 what it takes off the cranial shift.
#include "models/limb/sheet.h"
#include "scenarios/checks/repair_checks_support.h"
#include "scenarios/checks/sheet_limb.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
/// Force of a line at 40 deg to the plateau that holds the thrust of the sheet's free body alone.
double sheet_line_n(const std::string &name, double percent)
{
  const Activity activity = activity_named(name);
  const NetMoments m = net_moments(sheet_stance(activity, percent), sheet_limb(), false);
  const SheetMuscles muscles = sheet_muscles(m.stifle_nmm, m.hock_nmm);
  const SheetLoad load = sheet_load(activity.at(percent), muscles.patellar_tendon_n, muscles.gastrocnemius_n);
  return sheet_shear(load).shear_n / std::cos(radians(40));
}

struct Sutured
{
  OperatedAnatomy bone = repaired_bone(dog(3), RepairKind::suture);
  JointCase joint;
  JointState state;
  double intact_tendon_deg;
  Sutured(const std::string &activity, double percent)
      : joint(stance_case_on(dog(3), bone, LigamentState::torn, activity, percent)), state(solved_joint(joint, activity)),
        intact_tendon_deg(
            degrees(stance_on(dog(3), repaired_bone(dog(3), RepairKind::none), LigamentState::intact, activity, percent)
                        .tendon_angle_rad))
  {
  }
  /// Where the thrust of the sheet is lost.
  std::string lost() const
  {
    const double stifle = joint.load.stifle_angle_rad;
    return fmt::format(
        "the tendon stands at {:.0f} deg in the intact joint (sheet {:.0f}, row J4), so that the thrust is {:.0f} N, "
        "and swings to {:.0f} deg as the cut joint gives way by {:.1f} mm: {}",
        intact_tendon_deg, degrees(sheet_tendon_angle_rad(stifle)), state.thrust_n, degrees(state.tendon_angle_rad),
        state.translation_cranial_mm, plateau_forces(joint, state).listed());
  }
};

Rows line_force()
{
  const std::string derived = "alternatives.md section 2a, T = S/cos 40, no other restraint (derived)";
  const std::string strength = "Vet Surg 2011;40:334 (abstract): yield 193.6, peak 873.7 N";
  const Sutured walk("walk", 40), trot("trot", 50);
  const SutureMaterial &line = find_suture_material(dog(3).suture.line);
  const double walk_n = walk.state.repair_load_n, trot_n = trot.state.repair_load_n;
  const double sheet_walk = sheet_line_n("walk", 40), sheet_trot = sheet_line_n("trot", 50);
  const auto force = [&](const std::string &what, double value, double expected) {
    return in_view(reported("A1", what, value, {expected, 0.3 * expected, "N"}, derived));
  };
  return {force("line at 40 deg, thrust of the sheet, walk 40 %", sheet_walk, 121),
          force("line at 40 deg, thrust of the sheet, trot 50 %", sheet_trot, 203),
          stated("A1", "that line: walk below yield, trot at least 0.9 of it",
                 sheet_walk < line.yield_n && sheet_trot >= 0.9 * line.yield_n, strength),
          because(force("suture in the joint, walk 40 %, torn", walk_n, 121), walk.lost()),
          because(force("suture in the joint, trot 50 %, torn", trot_n, 203), trot.lost()),
          ranged("A1", "suture in the joint, walk 40 %: below the yield", walk_n, {0, line.yield_n}, "N", strength),
          because(ranged("A1", "suture in the joint, trot 50 %: at least 0.9 of the yield", trot_n,
                         {0.9 * line.yield_n, line.peak_n}, "N", strength),
                  trot.lost()),
          ranged("A1", "suture in the joint, larger of both: below the peak", std::max(walk_n, trot_n), {0, line.peak_n}, "N",
                 strength)};
}

/// Cycles of half a year, 5000 a day (alternatives.md 1d: 4700 to 7500 in normal life, derived).
constexpr double half_a_year = 9e5;

Rows shift_of_walk()
{
  const Scenario s = dog_of_mass(25);
  Scenario late = s;
  late.suture.cycles = half_a_year;
  const auto shift = [&](const Scenario &dog, RepairKind kind)
  { return stance_shift_mm(s, repaired_bone(dog, kind), LigamentState::torn, "walk"); };
  const double cut = shift(s, RepairKind::none), held = shift(s, RepairKind::suture), crept = shift(late, RepairKind::suture);
  const std::string source =
      "JAVMA, femorotibial kinematics, nine dogs, lateral suture (abstract), at 6 months; walk 50 %, 25 kg";
  const std::string anchor = "; line of the day of surgery; suture.anchor_stiffness_n_per_mm is derived from the 14 N/mm of A2";
  const std::string slack = "; slack of capsule and menisci was chosen with such a size in view";
  const std::string why = why_short_walk(s);
  return {
      because(in_view(reported("A3", "cranial shift, walk 50 %, torn, 25 kg", cut, {9.3, 3, "mm"}, source + slack)), why),
      because(in_view(reported("A3", "the same with a suture", held, {7.6, 2.5, "mm"}, source + slack + anchor)), why),
      because(in_view(ranged("A3", "gain by the suture", 100 * (1 - held / cut), {5, 40}, "%", source + anchor)),
              fmt::format("the line is fresh: crept by half a year of strides (0.5 % per decade, assumption) it gains {:.0f} %",
                          100 * (1 - crept / cut)))};
}
} // namespace

std::vector<CheckCase> repair_suture_checks() { return {{"A1", line_force}, {"A3", shift_of_walk}}; }
} // namespace stifle::checks
