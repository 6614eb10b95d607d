#include "scenarios/checks/repair_checks_support.h"
#include "models/core/error.h"
#include "models/joint/passive.h"
#include "models/joint/spatial_equilibrium.h"
#include <fmt/format.h>

namespace stifle::checks
{
CheckRow ranged(const std::string &id, const std::string &quantity, double value, const std::array<double, 2> &range,
                const std::string &unit, const std::string &source)
{
  return reported(id, quantity, value, {(range[0] + range[1]) / 2, (range[1] - range[0]) / 2, unit}, source);
}

OperatedAnatomy repaired_bone(const Scenario &s, RepairKind kind, std::optional<double> target_deg)
{
  std::optional<double> target;
  if (target_deg)
    target = radians(*target_deg);
  return repaired(s, make_anatomy(s), kind, target);
}

JointCase stance_case_on(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, const std::string &activity,
                         double percent)
{
  const Activity table = activity_named(activity);
  return {s, bone, ligament, LoadSet::stance, load_of_instant(s, bone, LoadSet::stance, &table, percent)};
}

JointState stance_on(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, const std::string &activity,
                     double percent)
{
  return solved_joint(stance_case_on(s, bone, ligament, activity, percent), fmt::format("{} {:g} %", activity, percent));
}

JointCase press_case_on(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg)
{
  const double force = 0.3 * bone.anatomy.body_weight_n;
  return {s, bone, ligament, LoadSet::press, set_load(s, bone, LoadSet::press, radians(stifle_deg), force)};
}

JointState pressed_on(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg)
{
  return solved_joint(press_case_on(s, bone, ligament, stifle_deg), fmt::format("set press, stifle {:g}", stifle_deg));
}

double stance_shift_mm(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, const std::string &activity)
{
  const OperatedAnatomy whole = repaired_bone(s, RepairKind::none);
  return stance_on(s, bone, ligament, activity).translation_cranial_mm -
         stance_on(s, whole, LigamentState::intact, activity).translation_cranial_mm;
}

double press_shift_mm(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg)
{
  const OperatedAnatomy whole = repaired_bone(s, RepairKind::none);
  return pressed_on(s, bone, ligament, stifle_deg).translation_cranial_mm -
         pressed_on(s, whole, LigamentState::intact, stifle_deg).translation_cranial_mm;
}

std::string why_short_walk(const Scenario &s)
{
  Scenario bare = s;
  bare.joint.meniscus_medial = bare.joint.meniscus_lateral = "removed";
  const OperatedAnatomy bone = repaired_bone(s, RepairKind::none), without = repaired_bone(bare, RepairKind::none);
  const JointCase c = stance_case_on(s, bone, LigamentState::torn, "walk"),
                  c_without = stance_case_on(bare, without, LigamentState::torn, "walk");
  const JointState torn = solved_joint(c, "walk 50 %"), intact = stance_on(s, bone, LigamentState::intact, "walk");
  return fmt::format(
      "the intact joint has itself gone {:.1f} mm cranial, and {:.1f} mm out the cut one is held by its menisci: {}; "
      "without both menisci the shift is {:.1f} mm and the capsule holds {:.0f} N",
      intact.translation_cranial_mm, torn.translation_cranial_mm, plateau_forces(c, torn).listed(),
      stance_shift_mm(bare, without, LigamentState::torn, "walk"),
      -plateau_forces(c_without, solved_joint(c_without, "walk 50 %, no menisci")).capsule);
}

std::string PlateauForces::listed() const
{
  return fmt::format(
      "thrust {:.0f}, cartilage {:.0f}, menisci {:.0f}, capsule {:.0f}, suture {:.0f} N along the plateau (cranial "
      "above 0)",
      thrust, cartilage, menisci, capsule, suture);
}

PlateauForces plateau_forces(const JointCase &c, const JointState &state)
{
  const SpatialSetup setup(c);
  const SpatialBalance b = spatial_balance(setup, unknowns_of(state));
  const Vector3 chord = setup.plateau.axes.col(0);
  PlateauForces f;
  f.thrust = b.active.dot(chord);
  f.tendon = state.patellar_tendon_n * b.tendon_direction.dot(chord);
  f.rig = c.set == LoadSet::stance ? 0 : b.hock_on_tibia.dot(chord);
  f.suture = b.suture.dot(chord);
  for (const Side side : {medial, lateral})
  {
    f.cartilage += b.contact[side].on_tibia.head<3>().dot(chord);
    f.menisci += b.rim[side].on_tibia.head<3>().dot(chord);
  }
  for (std::size_t i = 0; i < b.bundle_forces.size(); ++i)
    if (setup.anatomy.joint.bundles[i].group == "capsule")
      f.capsule += b.bundle_forces[i].dot(chord);
  return f;
}

Scenario dog_of_mass(double mass_kg)
{
  Scenario s = dog(3);
  s.tibia.length_mm *= std::cbrt(mass_kg / s.dog.mass_kg);
  s.dog.mass_kg = mass_kg;
  return s;
}

JointState moved_by_hand(const JointCase &held, double force_n)
{
  const JointState state = under_hand(held, force_n, 0);
  if (!state.converged)
    throw Error("the joint moved by hand did not converge: " + state.reason);
  return state;
}

Vector7 hand_pose(const SpatialSetup &setup, const Vector7 &start)
{
  const SpatialEquilibrium e = find_spatial_equilibrium(setup, start);
  if (!e.converged)
    throw Error("the joint moved by hand did not converge: " + e.reason);
  return e.unknowns;
}

Compartment compartment(const SpatialSetup &setup, const Vector7 &unknowns, Side side)
{
  const SpatialBalance b = spatial_balance(setup, unknowns);
  return {b.contact[side].load_n, b.rim[side].load_n, b.contact[side].peak_mpa, b.rim[side].peak_mpa};
}

Vector7 unknowns_of(const JointState &state) { return Eigen::Map<const Vector7>(state.unknowns.data()); }
} // namespace stifle::checks
