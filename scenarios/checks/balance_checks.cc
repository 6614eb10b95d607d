// Statics of the joint: S20 and S21 the plane parts, S22 free body of the tibia, S23 and S24 neutral slopes.
#include "models/joint/equilibrium.h"
#include "models/joint/spatial_balance.h"
#include "scenarios/checks/joint_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
Rows cylinder_on_bed()
{
  ContactBed bed;
  bed.plateau_radius_mm = 1e12;
  const double R = bed.condyle_radius_mm, depth = 0.5, h = R - depth, a = std::sqrt(R * R - h * h);
  const double closed = bed.stiffness_mpa_per_mm * bed.width_mm * (R * R * std::asin(a / R) - a * h);
  return {law("S20", "cylinder on a flat bed of springs, 0.5 mm deep, 2-D", -contact_force(bed, 1.0, h).force_n.z,
              {closed, 1e-8 * closed, "N"}, "closed form: k w (R^2 asin(a/R) - a (R - d)), a^2 = R^2 - (R - d)^2")};
}

Rows single_cord()
{
  Scenario s = dog(2);
  s.tibia.plateau_angle_deg = 20;
  BalanceSetup setup(press_case(s, {20, 135, 300, LigamentState::intact, LoadSet::axial}));
  setup.bed.plateau_radius_mm = 1e12; // flat: contact has no part along the chord
  const Equilibrium e = find_equilibrium(setup, 0);
  const auto b = balance<double>(setup, e.t_mm, e.n_mm, e.tendon_n);
  return {law("S21", "cranial cruciate alone, 300 N axial at 20 deg, 2-D", -dot(b.cranial_force, in_plane<double>(setup.chord)),
              {300 * std::sin(radians(20)), 1e-6, "N"}, "statics: F sin(slope) on a flat frictionless plateau")};
}

/// Force and moment about a point.
struct Sum
{
  Vector3 force = Vector3::Zero(), moment = Vector3::Zero();
  void add(const Vector3 &arm, const Vector3 &f)
  {
    force += f;
    moment += arm.cross(f);
  }
};

/// Foot on tibia, about the hock centre, from the balance of the foot alone: ground, weight and calcanean force with both heads
/// of the gastrocnemius where the femur stands.
Sum foot_on_tibia(const JointCase &c, const JointState &state)
{
  const StanceLoad &l = c.load;
  Sum sum;
  sum.add(l.centre_of_pressure - l.hock_centre, l.ground_force);
  sum.add(l.foot_centre - l.hock_centre, l.foot_weight);
  const RigidPose femur = pose_of(SpatialSetup(c), Eigen::Map<const Vector7>(state.unknowns.data())).femur;
  const Vector3 &tip = l.calcaneus_tip;
  const double whole = state.gastrocnemius_n / l.gastrocnemius_share, direct = whole - state.gastrocnemius_n;
  for (const Vector3 &head : c.bone.anatomy.joint.fabella)
    sum.add(tip - l.hock_centre, state.gastrocnemius_n / 2 * (femur.turn * head + femur.shift_mm - tip).normalized());
  sum.add(tip - l.hock_centre, direct * (c.bone.anatomy.calcanean_origin - tip).normalized());
  return sum;
}

/// Left over on the tibia relative to the hock force; moments about the hock over the length of the tibia.
double left_over(const JointCase &c, const JointState &state)
{
  const bool plane = c.scenario.joint.dimension == 2;
  Sum sum;
  if (plane)
    sum.force = state.hock_on_tibia;
  else
    sum = foot_on_tibia(c, state);
  for (const PointForce &p : state.on_tibia)
  {
    sum.add(p.point_mm - c.load.hock_centre, p.force_n);
    sum.moment += p.moment_nmm;
  }
  const double size = state.hock_on_tibia.norm();
  const double moment = plane ? std::abs(sum.moment.y()) : sum.moment.norm();
  const double hock = plane ? 0 : (foot_on_tibia(c, state).force - state.hock_on_tibia).norm();
  return std::max({sum.force.norm(), moment / c.bone.anatomy.tibia_length_mm, hock}) / size;
}

Rows free_body(int dimension)
{
  const Scenario s = dog(dimension);
  double worst = 0;
  for (const std::string name : {"stand", "walk", "trot"})
    for (const double slope : {25.0, 10.0, 0.0})
      for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
      {
        const JointCase c = stance_case(s, slope, ligament, name);
        const JointState state = stood(s, slope, ligament, name);
        worst = std::max({worst, left_over(c, state), state.quadriceps_clipped ? 1.0 : 0.0});
      }
  const std::string parts = dimension == 2
                                ? "force and moment in the plane"
                                : "all three forces and all three moments with the couples of spread contacts; hock moment "
                                  "from the balance of the foot alone";
  return {law("S22", "free body of the tibia, worst left over" + plane_mark(dimension), worst, {0, 1e-8, "of the hock force"},
              "static equilibrium; stand, walk, trot, slopes 25, 10, 0, intact and torn; " + parts)};
}

double neutral_deg(const Scenario &s, LoadSet set, const std::string &activity = "walk")
{
  const Activity table = activity_named(activity);
  const auto angle = neutral_plateau_angle(s, make_anatomy(s), set, &table, 50);
  return angle ? degrees(*angle) : std::nan("");
}

Rows neutral_identities(int dimension)
{
  const Scenario s = dog(dimension);
  const Anatomy a = make_anatomy(s);
  const double tendon = neutral_deg(s, LoadSet::tendon);
  const JointState state = pressed(s, {tendon, 135, s.loads.axial_force_n, LigamentState::intact, LoadSet::tendon});
  const Vector3 line = state.patella - a.tendon_insertion;
  const double against =
      180 - degrees(std::atan2(line.dot(plateau_normal(a)), line.dot(plateau_chord(a)))); // in the sagittal plane
  const std::string end = plane_mark(dimension);
  return {law("S23", "neutral slope, set axial" + end, neutral_deg(s, LoadSet::axial), {0, 1e-6, "deg"}, "F sin(slope) = 0"),
          law("S23", "neutral slope, set tendon" + end, tendon, {25 - (against - 90), 0.1, "deg"},
              fmt::format(
                  "identity slope - (tendon angle - 90); tendon as it stands at that slope, {:.2f} deg against the unoperated "
                  "plateau line",
                  against))};
}

Rows neutral_in_stance(int dimension)
{
  return {reported("S24", "neutral slope, set stance, walk 50 %" + plane_mark(dimension),
                   neutral_deg(dog(dimension), LoadSet::stance), {11.5, 3.5, "deg"},
                   "joint.md section 2: 8 to 15 for the stance inputs (derived); computed, never entered")};
}
} // namespace

std::vector<CheckCase> balance_checks()
{
  return {{"S20", cylinder_on_bed},
          {"S21", single_cord},
          in_both("S22", free_body),
          in_both("S23", neutral_identities),
          in_both("S24", neutral_in_stance)};
}
} // namespace stifle::checks
