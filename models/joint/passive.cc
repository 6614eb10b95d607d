#include "models/joint/passive.h"
#include "models/core/error.h"
#include "models/joint/cells.h"
#include "models/joint/spatial_joint.h"
#include "models/joint/state_or_reason.h"

namespace stifle
{
namespace
{
/// One bone in one ligament state at one flexion.
struct HeldJoint
{
  const RepairBone *bone;
  LigamentState ligament;
  double flexion_deg;
  double stifle_rad() const { return radians(180 - flexion_deg); }
};

SpatialSetup without_hand(SpatialSetup setup)
{
  setup.hand_force.setZero();
  setup.hand_moment.setZero();
  return setup;
}

SpatialSetup with_hand_part(SpatialSetup setup, double part)
{
  setup.hand_force *= part;
  setup.hand_moment *= part;
  return setup;
}

/// The foot pressed by a hand; the limb balance gives the calcanean force.
JointCase tibial_compression_case(const HeldJoint &held)
{
  const Scenario &s = held.bone->scenario;
  const Anatomy &a = held.bone->bone.anatomy;
  Activity hands;
  hands.name = "tibial_compression";
  ActivityRow row;
  row.metatarsus_tilt_deg = 180 - s.passive.hock_angle_deg;
  row.femur_tilt_deg = held.flexion_deg;
  row.force_up_bw = 1;
  hands.rows = {row};
  StanceLoad load = stance_load(s, a, hands, 0);
  load.foot_weight.setZero();
  load.crus_weight.setZero();
  load.hamstrings_n = load.popliteus_n = 0;
  load.ground_force = Vector3::UnitZ();
  load.centre_of_pressure = load.toe_joint;
  const Vector3 femur = held.bone->bone.plateau_origin + a.condyle_radius_mm * plateau_normal(a);
  const FootBalance unit =
      foot_balance(load, femur + femur_rotation(held.stifle_rad()) * a.gastrocnemius_origin, a.calcanean_origin);
  if (!(unit.gastrocnemius_n > 0))
    throw Error("the hand on the foot does not stretch the gastrocnemius in this posture");
  load.ground_force *= s.passive.gastrocnemius_n / unit.gastrocnemius_n;
  return {s, held.bone->bone, held.ligament, LoadSet::stance, load};
}

/// Intact without line, then as the case says, then the hand; each from where the one before stands.
SpatialEquilibrium pose_under_hand(const JointCase &joint_case, const SpatialSetup &setup)
{
  JointCase sound = joint_case;
  sound.ligament = LigamentState::intact;
  sound.bone.suture.reset();
  SpatialSetup intact = without_hand(SpatialSetup(sound));
  intact.moment_held = true;
  const auto loaded = [&](double part) { return with_load_part(intact, part); };
  SpatialEquilibrium e = find_spatial_equilibrium(intact, reference_unknowns(intact));
  if (!e.converged)
    e = follow_path(intact, loaded, reference_unknowns(intact), "load");
  if (!e.converged)
    return e;
  const SpatialSetup bare = without_hand(setup);
  const auto cut = [&](double part) { return partly_cut(bare, part); };
  const auto pushed = [&](double part) { return with_hand_part(setup, part); };
  e = follow_path(bare, cut, e.unknowns, "cut");
  if (!e.converged)
    return e;
  const SpatialEquilibrium at_end = follow_path(setup, pushed, e.unknowns, "hand");
  if (at_end.converged)
    return at_end;
  const SpatialEquilibrium at_once = find_spatial_equilibrium(setup, e.unknowns);
  return at_once.converged ? at_once : at_end;
}

JointState failed(const std::string &reason)
{
  JointState state;
  state.reason = reason;
  return state;
}

class HandTests
{
public:
  explicit HandTests(const HeldJoint &held) : held_(held), hand_(held.bone->scenario.passive)
  {
    rest_ = state_or_reason([&] { return under_hand(compressed(), 0, 0); });
  }

  std::vector<PassiveRow> rows() const
  {
    std::vector<PassiveRow> all;
    add_pair(all, "drawer", hand_.hand_force_n, 0);
    all.push_back(tibial_compression());
    add_pair(all, "rotation", 0, hand_.hand_moment_nmm);
    return all;
  }

private:
  JointCase compressed() const { return held_case(held_.bone->scenario, held_.bone->bone, held_.ligament, held_.flexion_deg); }

  PassiveRow named(const std::string &test) const
  {
    PassiveRow row;
    row.test = test;
    row.repair = held_.bone->repair;
    row.plateau_angle_deg = held_.bone->achieved_deg();
    row.plateau_angle_target_deg = held_.bone->target_deg;
    row.ligament = held_.ligament;
    row.stifle_angle_deg = 180 - held_.flexion_deg;
    return row;
  }

  PassiveRow finished(PassiveRow row, JointState state) const
  {
    if (state.converged && !rest_.converged)
      state = failed("the joint without hand: " + rest_.reason);
    row.state = std::move(state);
    if (row.state.converged)
    {
      row.translation_cranial_mm = row.state.translation_cranial_mm - rest_.translation_cranial_mm;
      row.rotation_internal_rad = row.state.rotation_internal_rad - rest_.rotation_internal_rad;
    }
    return row;
  }

  PassiveRow by_hand(const std::string &test, double force_n, double moment_nmm) const
  {
    PassiveRow row = named(test);
    row.hand_force_n = force_n;
    row.hand_moment_nmm = moment_nmm;
    row.axial_force_n = hand_.compression_n;
    return finished(row, state_or_reason([&] { return under_hand(compressed(), force_n, moment_nmm); }));
  }

  void add_pair(std::vector<PassiveRow> &all, const std::string &test, double force_n, double moment_nmm) const
  {
    PassiveRow plus = by_hand(test, force_n, moment_nmm), minus = by_hand(test, -force_n, -moment_nmm);
    if (plus.state.converged && minus.state.converged)
    {
      if (force_n != 0)
        plus.total_laxity_mm = minus.total_laxity_mm = plus.translation_cranial_mm - minus.translation_cranial_mm;
      else
        plus.total_rotation_rad = minus.total_rotation_rad = plus.rotation_internal_rad - minus.rotation_internal_rad;
    }
    all.push_back(plus);
    all.push_back(minus);
  }

  PassiveRow tibial_compression() const
  {
    PassiveRow row = named("tibial_compression");
    const JointState state = state_or_reason(
        [&]
        {
          const JointCase pressed = tibial_compression_case(held_);
          row.hand_force_n = pressed.load.ground_force.norm();
          return under_hand(pressed, 0, 0);
        });
    return finished(row, state);
  }

  HeldJoint held_;
  PassiveParameters hand_;
  JointState rest_;
};

std::vector<HeldJoint> held_joints(const std::vector<RepairBone> &bones, const Scenario &scenario)
{
  std::vector<HeldJoint> all;
  for (const RepairBone &bone : bones)
    for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
      for (const double flexion : sorted_without_repeats(scenario.passive.flexion_deg))
        all.push_back({&bone, ligament, flexion});
  return all;
}
} // namespace

/// The set axial holds the flexion.
JointCase held_case(const Scenario &s, const OperatedAnatomy &bone, LigamentState ligament, double flexion_deg)
{
  StanceLoad load = set_load(s, bone, LoadSet::axial, radians(180 - flexion_deg), s.passive.compression_n);
  load.hock_centre = bone.plateau_origin; // where the force acts
  load.ground_force = s.passive.compression_n * plateau_normal(bone.anatomy);
  return {s, bone, ligament, LoadSet::axial, load};
}

JointState under_hand(const JointCase &held, double force_n, double moment_nmm)
{
  SpatialSetup setup(held);
  setup.moment_held = true;
  setup.hand_force = force_n * setup.plateau.axes.col(0);
  setup.hand_moment = moment_nmm * Vector3::UnitZ();
  return describe(held, setup, pose_under_hand(held, setup));
}

std::vector<PassiveRow> passive_rows(const Scenario &scenario, const SweepOptions &options)
{
  if (scenario.joint.dimension != 3)
    return {};
  const std::vector<RepairBone> bones = named_bones(scenario);
  const std::vector<HeldJoint> joints = held_joints(bones, scenario);
  std::vector<std::vector<PassiveRow>> found(joints.size());
  ProgressCounter counter(options.progress, joints.size());
  for_each_index(joints.size(), options.threads,
                 [&](std::size_t i)
                 {
                   found[i] = HandTests(joints[i]).rows();
                   counter.add_one();
                 });
  std::vector<PassiveRow> rows;
  for (const std::vector<PassiveRow> &each : found)
    rows.insert(rows.end(), each.begin(), each.end());
  return rows;
}

Table passive_table(const std::vector<PassiveRow> &rows)
{
  Table table({"test", "repair", "plateau_angle_deg", "ligament", "stifle_angle_deg", "hand_force_n", "hand_moment_nmm",
               "axial_force_n", "translation_cranial_mm", "total_laxity_mm", "rotation_internal_deg", "cruciate_cranial_n",
               "cruciate_caudal_n", "converged", "reason", "plateau_angle_target_deg", "total_rotation_deg", "gastrocnemius_n",
               "repair_load_n"});
  for (const PassiveRow &row : rows)
  {
    const JointState &s = row.state;
    const bool ok = s.converged;
    table.begin_row();
    table.add(row.test);
    table.add(row.repair);
    table.add(row.plateau_angle_deg);
    table.add(to_string(row.ligament));
    for (const double number : {row.stifle_angle_deg, row.hand_force_n, row.hand_moment_nmm, row.axial_force_n})
      table.add(number);
    add_if(table, ok, row.translation_cranial_mm);
    add_if(table, row.total_laxity_mm.has_value(), row.total_laxity_mm.value_or(0));
    add_if(table, ok, degrees(row.rotation_internal_rad));
    add_if(table, ok, s.cruciate_cranial_n);
    add_if(table, ok, s.cruciate_caudal_n);
    add_truth(table, ok);
    table.add(s.reason);
    table.add(row.plateau_angle_target_deg);
    add_if(table, row.total_rotation_rad.has_value(), degrees(row.total_rotation_rad.value_or(0)));
    add_if(table, ok, s.gastrocnemius_n);
    add_if(table, ok && row.repair == "suture", s.repair_load_n);
  }
  return table;
}
} // namespace stifle
