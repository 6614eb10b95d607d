// scenarios/checks/repair_checks_support.h - operated dogs and what is read off their joints: A rows of alternatives.md
//   errors  every state is a solved one: solved_joint throws where the joint does not converge, and the case fails as a whole
#pragma once
#include "models/joint/spatial_balance.h"
#include "models/parts/repair.h"
#include "scenarios/checks/joint_support.h"

namespace stifle::checks
{
/// Level E, independent: a published or demanded range.
CheckRow ranged(const std::string &id, const std::string &quantity, double value, const std::array<double, 2> &range,
                const std::string &unit, const std::string &source);

OperatedAnatomy repaired_bone(const Scenario &scenario, RepairKind kind, std::optional<double> target_deg = std::nullopt);
/// An instant of stance on a bone.
JointCase stance_case_on(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament,
                         const std::string &activity, double percent = 50);
JointState stance_on(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, const std::string &activity,
                     double percent = 50);
/// Set press, held at a stifle angle, 30 % of the body weight.
JointCase press_case_on(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg);
JointState pressed_on(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg);

/// Cranial shift of an operated joint against the intact one of the unoperated bone, same activity or press, mm.
double stance_shift_mm(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament,
                       const std::string &activity);
double press_shift_mm(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, double stifle_deg);
/// Why a cut joint moves less in a walk than on film: what holds it, and how far it goes without menisci.
std::string why_short_walk(const Scenario &scenario);

/// Parts along the plateau on the tibia, N, cranial above 0, in the pose of a solved state.
struct PlateauForces
{
  double thrust = 0; ///< muscle, ground, tendon and weight; JointState::thrust_n is that of the joint posed with intact cruciates
  double tendon = 0, rig = 0; ///< parts of the thrust; rig: at the hock, not for the set stance
  double cartilage = 0, menisci = 0, capsule = 0, suture = 0;
  std::string listed() const; ///< "thrust ..., cartilage ..., " in whole N
};
PlateauForces plateau_forces(const JointCase &joint_case, const JointState &state);

/// A dog of that mass; its tibia is 200 mm long at 30 kg and scales with the cube root (assumption).
Scenario dog_of_mass(double mass_kg);

/// A joint moved by hand as in passive.csv (models/joint/passive.h, under_hand); Error when no pose is found.
JointState moved_by_hand(const JointCase &held, double force_n);
/// Equilibrium with the flexion held, from a start; Error when there is none.
Vector7 hand_pose(const SpatialSetup &setup, const Vector7 &start);

/// One compartment, meniscus included.
struct Compartment
{
  double cartilage_n = 0, meniscus_n = 0, cartilage_peak_mpa = 0, meniscus_peak_mpa = 0;
  double peak_mpa() const { return std::max(cartilage_peak_mpa, meniscus_peak_mpa); }
};
Compartment compartment(const SpatialSetup &setup, const Vector7 &unknowns, Side side);
Vector7 unknowns_of(const JointState &state);

// groups of rows, each in the file of its name
std::vector<CheckCase> repair_plan_checks();        ///< repair_checks_plan.cc: A6, A10, A14
std::vector<CheckCase> repair_suture_checks();      ///< repair_checks_suture.cc: A1, A3
std::vector<CheckCase> repair_hand_checks();        ///< repair_checks_hand.cc: A2, A4, A5
std::vector<CheckCase> repair_advancement_checks(); ///< repair_checks_advancement.cc: A7 to A9
std::vector<CheckCase> repair_compared_checks();    ///< repair_checks_compared.cc: A11, A12, A15
} // namespace stifle::checks
