// The tuberosity advancement: A7 in the press, A8 in the dog, A9 contact.
#include "scenarios/checks/repair_checks_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
const std::string cadaver =
    "10.1055/s-0043-57046 (abstract), textbook p. 228 (read); set press, 30 % of body weight, torn, tendon "
    "square to the plateau at 135 in the reduced joint";

OperatedAnatomy advanced() { return repaired_bone(dog(3), RepairKind::advancement); }

/// The two parts of the thrust of a press, and the tendon angle, of the joint posed with intact cruciates.
std::string parts(double stifle_deg)
{
  const JointCase c = press_case_on(dog(3), advanced(), LigamentState::intact, stifle_deg);
  const JointState state = solved_joint(c, "set press");
  const PlateauForces f = plateau_forces(c, state);
  return fmt::format("at {:g} the tendon stands at {:.1f} deg and adds {:.1f} N, the rig, which pushes towards the hip, {:.1f} N "
                     "along the plateau",
                     stifle_deg, degrees(state.tendon_angle_rad), f.tendon, f.rig);
}

Rows in_the_press()
{
  const OperatedAnatomy bone = advanced();
  const JointState at_135 = pressed_on(dog(3), bone, LigamentState::torn, 135);
  const std::string slack = "; a cut joint goes through its slack under any lasting thrust";
  Rows rows = {reported("A7", "thrust over compression, stifle 135, advanced", 100 * at_135.thrust_n / at_135.normal_n,
                        {0, 3, "%"}, cadaver + "; near 0 by construction")};
  for (const double stifle : {135.0, 145.0})
    rows.push_back(because(reported("A7", fmt::format("cranial shift, stifle {:g}, advanced", stifle),
                                    press_shift_mm(dog(3), bone, LigamentState::torn, stifle), {0, 1.5, "mm"}, cadaver),
                           parts(135) + "; " + parts(stifle) + slack));
  return rows;
}

Rows in_the_dog()
{
  const Scenario s = dog(3);
  const OperatedAnatomy whole = repaired_bone(s, RepairKind::none), bone = advanced();
  const std::string derived = "alternatives.md section 2b, full balance at PTA 90: 40-70 % removed (derived)";
  const std::string films = "10.1016/j.tvjl.2012.08.003 (abstract): 5.8 +- 3.4 mm standing; 2 mm to mean + 2 SD";
  Rows rows;
  for (const std::string activity : {"walk", "stand"})
  {
    const JointState native = stance_on(s, whole, LigamentState::torn, activity),
                     after = stance_on(s, bone, LigamentState::torn, activity);
    const JointCase c = stance_case_on(s, whole, LigamentState::intact, activity);
    const double tendon = plateau_forces(c, solved_joint(c, activity)).tendon;
    rows.push_back(stated("A8", activity + " 50 %, advanced: thrust stays above 0", after.thrust_n > 0,
                          derived + fmt::format("; {:.1f} N", after.thrust_n)));
    rows.push_back(
        because(ranged("A8", activity + " 50 %: thrust over native", after.thrust_n / native.thrust_n, {0.3, 0.6}, "", derived),
                fmt::format("an advancement can take off only what the tendon adds, {:.0f} of {:.0f} N in this posture; the rest "
                            "is gastrocnemius, ground and weight",
                            tendon, native.thrust_n)));
    rows.push_back(ranged("A8", activity + " 50 %: cranial shift stays", stance_shift_mm(s, bone, LigamentState::torn, activity),
                          {2, 12.6}, "mm", films));
  }
  return rows;
}

struct Contact
{
  double area_mm2, cartilage_area_mm2, peak_mpa, place_mm, cartilage_n, menisci_n;
};
Contact contact_of(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament)
{
  const JointCase c = press_case_on(s, bone, ligament, 135);
  const JointState state = solved_joint(c, "set press");
  const SpatialSetup setup(c);
  const SpatialBalance b = spatial_balance(setup, unknowns_of(state));
  const auto place = [&](Side side) { return (state.contact_centre[side] - bone.plateau_origin).dot(setup.plateau.axes.col(0)); };
  return {state.contact_area_mm2[medial] + state.contact_area_mm2[lateral],
          b.contact[medial].area_mm2 + b.contact[lateral].area_mm2,
          state.peak_pressure_mpa,
          (place(medial) + place(lateral)) / 2,
          b.contact[medial].load_n + b.contact[lateral].load_n,
          b.rim[medial].load_n + b.rim[lateral].load_n};
}
double change(const Contact &after, const Contact &before, double Contact::*part)
{
  return 100 * (after.*part / (before.*part) - 1);
}

/// Why the cut joint keeps its area and loses pressure; with the counter-check of a joint without menisci.
std::string why_contact(const Contact &intact, const Contact &cut)
{
  Scenario bare = dog(3);
  bare.joint.meniscus_medial = bare.joint.meniscus_lateral = "removed";
  const OperatedAnatomy bone = repaired_bone(bare, RepairKind::none);
  const double bare_peak =
      change(contact_of(bare, bone, LigamentState::torn), contact_of(bare, bone, LigamentState::intact), &Contact::peak_mpa);
  return fmt::format("the menisci slide with the condyles (free by 5 and 8 mm, an assumption) and take {:.0f} instead of {:.0f} "
                     "N, the cartilage "
                     "{:.0f} instead of {:.0f} N: its own area falls by {:.0f} %; without menisci the peak changes by {:+.0f} %, "
                     "as condyles and "
                     "plateaus have one radius each and fit alike everywhere, up to the edge",
                     cut.menisci_n, intact.menisci_n, cut.cartilage_n, intact.cartilage_n,
                     -change(cut, intact, &Contact::cartilage_area_mm2), bare_peak);
}

Rows contact()
{
  const Scenario s = dog(3);
  const OperatedAnatomy whole = repaired_bone(s, RepairKind::none);
  const Contact intact = contact_of(s, whole, LigamentState::intact), cut = contact_of(s, whole, LigamentState::torn),
                after = contact_of(s, advanced(), LigamentState::torn);
  const std::string source = "textbook p. 229 (read), work of 2009; set press, 30 % of body weight, stifle 135; both "
                             "compartments, menisci included";
  const std::string why = why_contact(intact, cut);
  const auto row = [&](const std::string &what, const Contact &now, double Contact::*part, const Expected &expected)
  { return because(reported("A9", what, change(now, intact, part), expected, source), why); };
  return {row("contact area after the cut", cut, &Contact::area_mm2, {-40, 15, "%"}),
          row("peak pressure after the cut", cut, &Contact::peak_mpa, {100, 40, "%"}),
          stated("A9", "contact goes caudal after the cut", cut.place_mm < intact.place_mm,
                 source + fmt::format("; from {:.1f} to {:.1f} mm of the intercondylar point", intact.place_mm, cut.place_mm)),
          row("contact area, cut and advanced", after, &Contact::area_mm2, {0, 15, "%"}),
          row("peak pressure, cut and advanced", after, &Contact::peak_mpa, {0, 15, "%"})};
}
} // namespace

std::vector<CheckCase> repair_advancement_checks() { return {{"A7", in_the_press}, {"A8", in_the_dog}, {"A9", contact}}; }
} // namespace stifle::checks
