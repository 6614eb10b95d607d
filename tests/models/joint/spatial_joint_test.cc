// Requirements of the solved joint in space: free body, mirror, rate of Newton, levelling, tension, menisci.
#include "tests/models/joint/support.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;

namespace
{
const Vector3 flip(1, -1, 1);
Vector3 mirrored(const Vector3 &v) { return flip.cwiseProduct(v); }

/// The anatomy seen in a sagittal mirror: y turns round, medial and lateral change places.
Anatomy mirrored(Anatomy a)
{
  for (Vector3 *p :
       {&a.hock_centre, &a.tendon_insertion, &a.cranial_cruciate_tibia, &a.caudal_cruciate_tibia, &a.secondary_tibia,
        &a.hamstrings_tibia, &a.calcanean_origin, &a.crus_centre_of_mass, &a.cranial_cruciate_femur, &a.caudal_cruciate_femur,
        &a.trochlea_centre, &a.gastrocnemius_origin, &a.quadriceps_origin, &a.hamstrings_origin, &a.calcaneus_tip,
        &a.foot_centre_of_mass, &a.joint.popliteus_femur, &a.joint.popliteus_tibia})
    p->y() = -p->y();
  JointParts &j = a.joint;
  std::swap(j.condyles[0], j.condyles[1]);
  std::swap(j.plateaus[0], j.plateaus[1]);
  std::swap(j.menisci[0], j.menisci[1]);
  std::swap(j.fabella[0], j.fabella[1]);
  for (int side : {medial, lateral})
  {
    for (double *y :
         {&j.condyles[side].centre.y(), &j.plateaus[side].offset_mm, &j.menisci[side].centre_y_mm, &j.fabella[side].y()})
      *y = -*y;
  }
  for (Bundle &b : j.bundles)
  {
    b.tibia = mirrored(b.tibia);
    b.femur = mirrored(b.femur);
    if (b.group == "collateral_medial")
      b.group = "collateral_lateral";
    else if (b.group == "collateral_lateral")
      b.group = "collateral_medial";
  }
  return a;
}
StanceLoad mirrored(StanceLoad l)
{
  for (Vector3 *v : {&l.up, &l.ground_force, &l.centre_of_pressure, &l.toe_joint, &l.hock_centre, &l.calcaneus_tip,
                     &l.foot_weight, &l.foot_centre, &l.crus_weight, &l.crus_centre})
    v->y() = -v->y();
  return l;
}

/// What holds the flexion does no work on the two free rotations: its moment is square to both of their axes.
Vector6 without_held_flexion(const JointCase &c, const JointState &state, Vector6 about_femur_origin)
{
  const Vector3 axis = Vector3::UnitZ().cross(test::pose(c, state).floating);
  about_femur_origin.tail<3>() -= about_femur_origin.tail<3>().dot(axis) * axis;
  return about_femur_origin;
}

/// A dog without any symmetry, under a load with a side force.
JointCase lopsided_case(LigamentState ligament, const std::string &name)
{
  Scenario s;
  s.limb.popliteus_n = 20;
  s.limb.hamstrings_n = 30;
  JointCase c = test::stance_case(s, 12, ligament, name);
  c.load.ground_force.y() += 8;
  c.load.centre_of_pressure.y() += 3;
  c.bone.anatomy.tendon_insertion.y() = 1.5;
  return c;
}
} // namespace

// Requirement: tibia and foot as one body are in balance in all six components, for every activity, ligament state, several
// slopes and instants, with a side force too (law: static equilibrium). None of these may fail to be found.
TEST(SpatialJoint, TibiaAndFootAreInBalanceInSixComponents)
{
  Scenario s;
  s.limb.popliteus_n = 15;
  for (const std::string name : {"stand", "walk", "trot"})
    for (const double slope : {25.0, 15.0, 6.0, 0.0})
      for (const LigamentState ligament : test::ligament_states)
        for (const double percent : {25.0, 50.0, 75.0})
        {
          JointCase c = test::stance_case(s, slope, ligament, name, percent);
          c.load.ground_force.y() += 0.02 * c.load.ground_force.norm();
          const JointState state = solve_joint(c);
          const std::string at = name + ' ' + to_string(ligament) + ' ' + std::to_string(slope) + ' ' + std::to_string(percent);
          ASSERT_TRUE(state.converged) << at << ": " << state.reason;
          Vector6 sum = test::free_body_with_foot(c, state, c.load.hock_centre);
          if (state.quadriceps_clipped) // the flexion is not balanced then
            sum = without_held_flexion(c, state, test::free_body_with_foot(c, state, state.femur_origin));
          EXPECT_LT(test::relative(sum, state), 1e-8) << at;
        }
}

// Requirement: in the sets press and tendon the foot's force acts at the hock, so the tibia alone closes in six components; in
// the set axial the rig holds the moment about the flexion axis and no other.
TEST(SpatialJoint, FreeBodyOfTheSetsClosesInSixComponents)
{
  Scenario s;
  s.joint.tendon_offset_medial_mm = 2;
  for (const LoadSet set : {LoadSet::press, LoadSet::tendon, LoadSet::axial})
    for (const LigamentState ligament : test::ligament_states)
    {
      const JointCase c = test::set_case(s, 10, ligament, set);
      const JointState state = solve_joint(c);
      ASSERT_TRUE(state.converged) << to_string(set) << ' ' << state.reason;
      Vector6 sum = test::free_body(state, c.load.hock_centre, state.femur_origin);
      if (set == LoadSet::axial || state.quadriceps_clipped)
        sum = without_held_flexion(c, state, sum);
      EXPECT_LT(test::relative(sum, state), 1e-8) << to_string(set) << ' ' << to_string(ligament);
    }
}

// Requirement: a pose that the joint stands in holds against a small push, in every load set over the whole sweep of slopes. The set
// tendon holds the rotation about the long axis, so its joint stands in the middle there.
TEST(SpatialJoint, EveryFoundPoseIsStable)
{
  const Scenario s;
  int found = 0;
  for (const LoadSet set : {LoadSet::press, LoadSet::tendon, LoadSet::axial})
    for (double slope = -5; slope <= 35; slope += 5)
      for (const LigamentState ligament : test::ligament_states)
      {
        const JointCase c = test::set_case(s, slope, ligament, set);
        const JointState state = solve_joint(c);
        if (!state.converged)
          continue;
        ++found;
        EXPECT_TRUE(state.stable) << to_string(set) << ' ' << slope << ' ' << to_string(ligament);
        if (set == LoadSet::tendon)
        {
          EXPECT_NEAR(state.rotation_internal_rad, 0, 1e-12);
        }
      }
  EXPECT_GE(found, 50);
}

// Requirement: the force of the foot at the hock is ground force + foot weight + whole calcanean force (the foot's own balance),
// and the moment of these about the medial axis through the hock vanishes.
TEST(SpatialJoint, HockForceIsThatOfTheFoot)
{
  const JointCase c = test::stance_case(Scenario(), 25, LigamentState::intact);
  const JointState state = solve_joint(c);
  ASSERT_TRUE(state.converged);
  const StanceLoad &l = c.load;
  const RigidPose femur = test::pose(c, state).femur;
  Vector3 calcanean = -test::by_name(state).at("calcanean_share").force_n;
  for (int side : {medial, lateral})
    calcanean += state.gastrocnemius_n / 2 *
                 (femur.turn * c.bone.anatomy.joint.fabella[side] + femur.shift_mm - l.calcaneus_tip).normalized();
  EXPECT_NEAR((l.ground_force + l.foot_weight + calcanean - state.hock_on_tibia).norm(), 0, 1e-9);
  const double moment = test::moment_y(l.centre_of_pressure - l.hock_centre, l.ground_force) +
                        test::moment_y(l.foot_centre - l.hock_centre, l.foot_weight) +
                        test::moment_y(l.calcaneus_tip - l.hock_centre, calcanean);
  EXPECT_NEAR(moment, 0, 1e-6);
  EXPECT_NEAR(state.gastrocnemius_n, 0.67 / 0.33 * test::by_name(state).at("calcanean_share").force_n.norm(), 1e-6);
}

// Requirement: a mirrored dog stands mirrored, to 1e-10 of the load: sides change places, side shift, varus and rotation change
// sign.
TEST(SpatialJoint, MirrorsToTheOtherLimb)
{
  for (const LigamentState ligament : test::ligament_states)
    for (const std::string name : {"stand", "walk"})
    {
      JointCase right = lopsided_case(ligament, name), left = right;
      left.bone.anatomy = mirrored(right.bone.anatomy);
      left.load = mirrored(right.load);
      const JointState a = solve_joint(right), b = solve_joint(left);
      ASSERT_TRUE(a.converged && b.converged) << a.reason << b.reason;
      const double size = 1e-10 * a.hock_force_n;
      EXPECT_NEAR(a.thrust_n, b.thrust_n, size);
      EXPECT_NEAR(a.patellar_tendon_n, b.patellar_tendon_n, size);
      EXPECT_NEAR(a.contact_medial_n, b.contact_lateral_n, size);
      EXPECT_NEAR(a.contact_lateral_n, b.contact_medial_n, size);
      EXPECT_NEAR(a.meniscus_n[0], b.meniscus_n[1], size);
      EXPECT_NEAR(a.collateral_medial_n, b.collateral_lateral_n, size);
      EXPECT_NEAR(a.collateral_lateral_n, b.collateral_medial_n, size);
      EXPECT_NEAR(a.translation_cranial_mm, b.translation_cranial_mm, 1e-10);
      EXPECT_NEAR(a.rotation_internal_rad, -b.rotation_internal_rad, 1e-10);
      EXPECT_NEAR(a.varus_rad, -b.varus_rad, 1e-10);
      EXPECT_NEAR((mirrored(a.femur_origin) - b.femur_origin).norm(), 0, 1e-10);
      EXPECT_NEAR((mirrored(a.hock_on_tibia) - b.hock_on_tibia).norm(), 0, size);
      EXPECT_GT(std::abs(a.rotation_internal_rad), 1e-4); // there is something to mirror
    }
}

// Requirement: the whole limb turned with gravity and ground force changes nothing, about any axis and with every component of
// load (law: mechanics does not depend on the frame): same pose, same forces, and in the turned frame tibia and foot are still in
// balance.
TEST(SpatialJoint, DoesNotDependOnTheFrameOfTheLimb)
{
  for (const LigamentState ligament : test::ligament_states)
    for (const std::string name : {"stand", "walk", "trot"})
    {
      const JointCase here = lopsided_case(ligament, name);
      const JointState a = solve_joint(here);
      ASSERT_TRUE(a.converged) << a.reason;
      for (const Vector3 &axis : {Vector3(1, 0, 0), Vector3(0, 1, 0), Vector3(0, 0, 1), Vector3(1, -2, 0.5)})
      {
        const Matrix3 turn = Eigen::AngleAxisd(0.7, axis.normalized()).toRotationMatrix();
        JointCase there = here;
        there.load = rotated(here.load, turn);
        ASSERT_GT((there.load.ground_force - here.load.ground_force).norm(), 1) << "the case must be turned";
        const JointState b = solve_joint(there);
        ASSERT_TRUE(b.converged) << b.reason;
        for (std::size_t i = 0; i < a.unknowns.size(); ++i)
          EXPECT_NEAR(a.unknowns[i], b.unknowns[i], 1e-9 * std::max(1.0, std::abs(a.unknowns[i]))) << i;
        const double size = 1e-9 * a.hock_force_n;
        EXPECT_NEAR(a.thrust_n, b.thrust_n, size);
        EXPECT_NEAR(a.contact_lateral_n, b.contact_lateral_n, size);
        // what muscles and joint put on tibia and foot carries the turned load
        const Vector3 held =
            test::free_body_with_foot(here, b, Vector3::Zero()).head<3>() - here.load.ground_force - here.load.foot_weight;
        EXPECT_LT((turn * held + there.load.ground_force + there.load.foot_weight).norm(), size);
      }
    }
}

// Requirement: Newton converges at second order: from a start twice as near, one step leaves a quarter. Order log2(r(e) / r(e /
// 2)) of the residual after the first step, above 1.7; and at most five steps to 1e-9 of the load.
TEST(SpatialJoint, NewtonConvergesQuadratically)
{
  Vector7 off;
  off << -0.05, 0.02, -0.02, 0.05, 0.1, 10, 0.01;
  for (const std::string name : {"stand", "walk", "trot"})
    for (const LigamentState ligament : test::ligament_states)
    {
      const SpatialSetup setup(test::stance_case(Scenario(), 15, ligament, name));
      const SpatialEquilibrium there = find_spatial_equilibrium(setup, reference_unknowns(setup));
      ASSERT_TRUE(there.converged) << name << there.reason;
      ASSERT_FALSE(there.clipped);
      const auto from = [&](double share) {
        return spatial_newton(setup, there.unknowns + share * off, {true, true, true, true, true, true, true}).residuals_n;
      };
      const std::vector<double> far = from(1), near = from(0.5);
      ASSERT_GE(near.size(), 3u) << name;
      EXPECT_LE(far.size(), 6u) << name << testing::PrintToString(far);
      EXPECT_GT(far[0], 1) << name;
      EXPECT_GT(std::log2(far[1] / near[1]), 1.7) << name << ' ' << to_string(ligament) << testing::PrintToString(far);
    }
}

// Requirement: cords never push and a torn ligament carries nothing. The force of a group points from the tibia to the femur's
// side: its work along the lines of its bundles is positive. Also far from the reference posture.
TEST(SpatialJoint, TensionIsNeverNegative)
{
  for (const LigamentState ligament : test::ligament_states)
    for (const std::string name : {"stand", "trot"})
      for (const double percent : {10.0, 50.0, 90.0})
      {
        const JointCase c = test::stance_case(Scenario(), 25, ligament, name, percent);
        const SpatialSetup setup(c);
        const JointState state = solve_joint(c);
        ASSERT_TRUE(state.converged) << name << percent << state.reason;
        const SpatialBalance b = spatial_balance(setup, Eigen::Map<const Vector7>(state.unknowns.data()));
        for (std::size_t i = 0; i < b.bundle_forces.size(); ++i)
        {
          const Bundle &bundle = setup.anatomy.joint.bundles[i];
          const Vector3 line = b.pose.femur.turn * bundle.femur + b.pose.femur.shift_mm - bundle.tibia;
          EXPECT_GE(b.bundle_forces[i].dot(line), 0) << bundle.name;
          EXPECT_NEAR(b.bundle_forces[i].cross(line.normalized()).norm(), 0, 1e-9) << bundle.name;
          const bool torn = ligament == LigamentState::torn && bundle.group == "cruciate_cranial";
          if (torn || line.norm() < bundle.rest_mm)
          {
            EXPECT_EQ(b.bundle_forces[i].norm(), 0) << bundle.name;
          }
        }
        EXPECT_GE(state.patellar_tendon_n, 0);
        EXPECT_GE(state.contact_medial_n, 0);
      }
}

// Requirement: levelling moves exactly the insertions on the proximal segment, as a rigid body about the arc; the tibial ends on
// the fibula follow the key levelling.fibular_head, wherever they lie.
TEST(SpatialJoint, LevellingMovesExactlyTheProximalInsertions)
{
  for (const std::string head : {"proximal", "distal"})
  {
    Scenario s;
    s.levelling.fibular_head = head;
    const Anatomy a = make_anatomy(s);
    const OperatedAnatomy bone = test::bone_at(s, 6);
    const Vector3 axis(bone.levelling.centre);
    int moved = 0, kept = 0, on_fibula = 0;
    for (std::size_t i = 0; i < a.joint.bundles.size(); ++i)
    {
      const Bundle &before = a.joint.bundles[i], &after = bone.anatomy.joint.bundles[i];
      const bool inside = std::hypot(before.tibia.x() - axis.x(), before.tibia.z() - axis.z()) < bone.levelling.radius_mm;
      const bool proximal = before.on_fibula ? head == "proximal" : inside;
      const Vector3 expected =
          proximal ? Vector3(axis + rotation_about_y(-bone.levelling.rotation_rad) * (before.tibia - axis)) : before.tibia;
      EXPECT_NEAR((after.tibia - expected).norm(), 0, 1e-12) << before.name;
      EXPECT_EQ(after.proximal, proximal) << before.name;
      EXPECT_EQ((after.femur - before.femur).norm() + std::abs(after.rest_mm - before.rest_mm), 0) << before.name;
      on_fibula += before.on_fibula;
      (proximal ? moved : kept) += 1;
    }
    EXPECT_GT(moved, 0);
    EXPECT_GT(kept, 0);
    EXPECT_GT(on_fibula, 0);
    // a free body names the segment that carries each force
    const JointState state = test::solve(s, 6, LigamentState::intact, LoadSet::stance);
    ASSERT_TRUE(state.converged);
    for (const PointForce &p : state.on_tibia)
    {
      const bool on_fibula_end = p.name.find("collateral_lateral") == 0, contact = p.name.find("contact_") == 0;
      const bool distal = p.name.find("_distal") != std::string::npos || p.name == "patellar_tendon" || p.name == "crus_weight";
      if (on_fibula_end || contact || distal)
      {
        EXPECT_EQ(p.proximal, contact || (on_fibula_end && head == "proximal")) << p.name;
      }
    }
  }
}

// Requirement: the state of the menisci is an input: a removed one carries nothing and leaves its compartment to the cartilage,
// whose peak pressure rises; without its caudal pole it carries less than whole.
TEST(SpatialJoint, MeniscusKeysTakeTheirForce)
{
  const auto with = [](const std::string &medial_state, const std::string &lateral_state)
  {
    Scenario s;
    s.joint.meniscus_medial = medial_state;
    s.joint.meniscus_lateral = lateral_state;
    return test::solve(s, 25, LigamentState::intact, LoadSet::stance);
  };
  const JointState whole = with("intact", "intact"), pole = with("caudal_pole_removed", "intact"),
                   medial_out = with("removed", "intact"), lateral_out = with("intact", "removed"),
                   none = with("removed", "removed");
  for (const JointState *state : {&whole, &pole, &medial_out, &lateral_out, &none})
    ASSERT_TRUE(state->converged) << state->reason;
  EXPECT_GT(whole.meniscus_n[medial], 0);
  EXPECT_GT(whole.meniscus_n[lateral], 0);
  EXPECT_LT(pole.meniscus_n[medial], whole.meniscus_n[medial]);
  EXPECT_EQ(medial_out.meniscus_n[medial], 0);
  EXPECT_GT(medial_out.meniscus_n[lateral], 0);
  EXPECT_EQ(lateral_out.meniscus_n[lateral], 0);
  EXPECT_EQ(none.meniscus_n[medial] + none.meniscus_n[lateral], 0);
  EXPECT_GT(medial_out.cartilage_peak_mpa[medial], whole.cartilage_peak_mpa[medial]);
}

// Requirement: results do not depend on earlier calls (no hidden state): the same case twice, with another in between, bit by
// bit.
TEST(SpatialJoint, DoesNotRememberEarlierCalls)
{
  const JointCase c = test::stance_case(Scenario(), 25, LigamentState::torn);
  const JointState first = solve_joint(c);
  solve_joint(test::stance_case(Scenario(), 6, LigamentState::torn, "trot"));
  const JointState again = solve_joint(c);
  EXPECT_EQ(first.unknowns, again.unknowns);
  EXPECT_EQ(first.iterations, again.iterations);
}
