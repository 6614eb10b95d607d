// A11 wedge in the press, A12 repairs of the same cut joint, A15 loss of a whole meniscus.
#include "scenarios/checks/repair_checks_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
constexpr double levelled_deg = 5.5; ///< middle of the usual 5 to 6, as in J12
constexpr double visible_mm = 1.5;   ///< a shift below is called none

Rows wedge_in_the_press()
{
  const double native = dog(3).tibia.plateau_angle_deg;
  Rows rows;
  for (const double over : {-5.0, 0.0, 5.0, 7.5})
  {
    Scenario s = dog(3);
    s.wedge.wedge_deg = native + over;
    const OperatedAnatomy bone = repaired_bone(s, RepairKind::wedge);
    const double shift = press_shift_mm(s, bone, LigamentState::torn, 135);
    const JointCase posed = press_case_on(s, bone, LigamentState::intact, 135);
    const PlateauForces parts = plateau_forces(posed, solved_joint(posed, "set press"));
    const std::string source =
        fmt::format("wedge angle against subluxation, Vet Surg, 6 cadaver limbs (abstract); set press, 30 % of body weight, "
                    "stifle 135, torn, against intact and whole; plateau angle {:.1f} deg, shift {:.2f} mm",
                    degrees(bone.levelling.achieved_angle_rad), shift);
    const std::string name = fmt::format("wedge of TPA {:+g} deg: shift ", over);
    const std::string why = fmt::format(
        "our press pushes towards the hip, caudal of the tibial axis: on this plateau it adds {:.0f} N (along the axis {:.0f} N) "
        "and "
        "the tendon {:.0f} N, so that the thrust is only {:.0f} N (row J6: neutral well above the cadaver's 4-6 deg)",
        parts.rig, 0.3 * bone.anatomy.body_weight_n * std::sin(bone.levelling.achieved_angle_rad), parts.tendon, parts.thrust);
    rows.push_back(because(over < 2.5 ? stated("A11", name + "present (above 1.5 mm)", shift > visible_mm, source)
                                      : stated("A11", name + "gone (below 1.5 mm)", shift < visible_mm, source),
                           why));
  }
  return rows;
}

/// Cranial shift of the same cut joint, mm, with each repair.
struct Shifts
{
  double none, suture, advancement, levelling;
  bool levelling_least() const
  {
    return std::abs(levelling) < std::min({std::abs(none), std::abs(suture), std::abs(advancement)});
  }
  std::string listed() const
  {
    return fmt::format("none {:.2f}, suture {:.2f}, advancement {:.2f}, levelling {:.2f} mm", none, suture, advancement,
                       levelling);
  }
};
Shifts shifts_of(const std::string &activity)
{
  const Scenario s = dog(3);
  const auto shift = [&](RepairKind kind, std::optional<double> target = std::nullopt)
  { return stance_shift_mm(s, repaired_bone(s, kind, target), LigamentState::torn, activity); };
  return {shift(RepairKind::none), shift(RepairKind::suture), shift(RepairKind::advancement),
          shift(RepairKind::levelling, levelled_deg)};
}

Rows ranks(const Shifts &stand, const Shifts &walk)
{
  const std::string rank = "alternatives.md A12; same cut joint, menisci whole, cranial above 0; ";
  const JointState levelled =
      stance_on(dog(3), repaired_bone(dog(3), RepairKind::levelling, levelled_deg), LigamentState::torn, "walk");
  const double intact =
      stance_on(dog(3), repaired_bone(dog(3), RepairKind::none), LigamentState::intact, "walk").translation_cranial_mm;
  return {
      stated("A12", "stand: none > advancement > levelling, by size",
             stand.none > stand.advancement && stand.advancement > std::abs(stand.levelling), rank + stand.listed()),
      stated("A12", "walk: none > suture", walk.none > walk.suture, rank + walk.listed()),
      stated("A12", "stand: levelling least of four, by size", stand.levelling_least(), rank + stand.listed()),
      because(stated("A12", "walk: levelling least of four, by size", walk.levelling_least(), rank + walk.listed()),
              fmt::format("the shift counts from the intact joint, which its thrust has taken {:.1f} mm cranial, while the "
                          "levelled one, with a thrust of {:.0f} N, stands {:.1f} mm caudal of the intercondylar point on its "
                          "caudal cruciate ({:.0f} N)",
                          intact, levelled.thrust_n, -levelled.translation_cranial_mm, levelled.cruciate_caudal_n))};
}

Rows repairs_compared()
{
  const Shifts stand = shifts_of("stand"), walk = shifts_of("walk");
  const std::string standing = "10.1111/j.1532-950X.2012.00973.x (abstract)";
  const std::string walking = "PMC5848543; JAVMA, nine dogs, lateral suture (abstracts)";
  const std::string slack = "; slack of capsule and menisci was chosen with this size in view";
  const std::string anchor = "; suture.anchor_stiffness_n_per_mm is derived from A2";
  const std::string why = why_short_walk(dog(3));
  Rows rows = {
      in_view(reported("A12", "stand, torn, no repair", stand.none, {6.3, 4.8, "mm"}, standing + ", 2 SD" + slack)),
      reported("A12", "stand, torn, advancement", stand.advancement, {5.8, 3.4, "mm"},
               "10.1016/j.tvjl.2012.08.003 (abstract), 1 SD"),
      reported("A12", "stand, torn, levelled to 5.5", stand.levelling, {0, 1.5, "mm"}, standing),
      because(in_view(reported("A12", "walk, torn, no repair", walk.none, {9.5, 3, "mm"}, walking + slack)), why),
      because(in_view(reported("A12", "walk, torn, suture", walk.suture, {7.6, 2.5, "mm"}, walking + slack + anchor)), why)};
  for (CheckRow &row : ranks(stand, walk))
    rows.push_back(std::move(row));
  return rows;
}

Compartment under_axial_load(Side side, bool removed)
{
  Scenario s = dog(3);
  if (removed)
    (side == medial ? s.joint.meniscus_medial : s.joint.meniscus_lateral) = "removed";
  const OperatedAnatomy bone = repaired_bone(s, RepairKind::none);
  const JointCase c = {s, bone, LigamentState::intact, LoadSet::axial,
                       set_load(s, bone, LoadSet::axial, radians(135), thirty_percent_n())};
  return compartment(SpatialSetup(c), unknowns_of(solved_joint(c, "set axial")), side);
}

Rows meniscectomy()
{
  Rows rows;
  for (const auto &[side, name, rise] : {std::tuple{medial, "medial", 72.0}, {lateral, "lateral", 273.0}})
  {
    const Compartment whole = under_axial_load(side, false), lost = under_axial_load(side, true);
    const std::string why = fmt::format(
        "the {} meniscus carries {:.0f} of {:.0f} N here, so its loss takes the cartilage from {:.0f} to {:.0f} N, and the peak "
        "of a bed of springs under a round condyle grows with the root of the load: the published rise asks for a meniscus with "
        "{:.0f} % of the load; its axial modulus and the fit of the rim are assumptions, not moved to fit",
        name, whole.meniscus_n, whole.meniscus_n + whole.cartilage_n, whole.cartilage_n, lost.cartilage_n,
        100 * (1 - std::pow(1 + rise / 100, -2)));
    rows.push_back(
        because(reported("A15", fmt::format("total {} meniscectomy: rise of its peak pressure", name),
                         100 * (lost.peak_mpa() / whole.peak_mpa() - 1), {rise, 0.4 * rise, "%"},
                         fmt::format("10.3389/fvets.2025.1441329 (abstract); set axial, 30 % of body weight, stifle 135 "
                                     "(assumed), intact ligaments; {:.2f} to {:.2f} MPa",
                                     whole.peak_mpa(), lost.peak_mpa())),
                why));
  }
  return rows;
}
} // namespace

std::vector<CheckCase> repair_compared_checks()
{
  return {{"A11", wedge_in_the_press}, {"A12", repairs_compared}, {"A15", meniscectomy}};
}
} // namespace stifle::checks
