#include "models/joint/spatial_joint.h"
#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace stifle
{
namespace
{
/// Adds up forces of one group: at their weighted middle, with the couple that is left.
struct Group
{
  Vector3 force = Vector3::Zero(), moment = Vector3::Zero(), middle = Vector3::Zero();
  double weight = 0;
  void add(const Vector3 &point, const Vector3 &f)
  {
    force += f;
    moment += point.cross(f);
    middle += f.norm() * point;
    weight += f.norm();
  }
};

class Describer
{
public:
  Describer(const JointCase &c, const SpatialSetup &s, const SpatialBalance &b, JointState &state)
      : c_(c), s_(s), b_(b), state_(state)
  {
  }

  void all()
  {
    muscles();
    pose();
    contact();
    bundles();
    forces();
  }

private:
  void muscles()
  {
    state_.quadriceps_n = b_.quadriceps_n;
    state_.calcanean_clipped = b_.calcanean_clipped;
    state_.gastrocnemius_n = s_.load.gastrocnemius_share * b_.calcanean_n;
    state_.hamstrings_n = s_.load.hamstrings_n;
    state_.hock_on_tibia = b_.hock_on_tibia;
    state_.hock_force_n = b_.hock_on_tibia.norm();
    state_.thrust_n = b_.active.dot(s_.plateau.axes.col(0));
    state_.normal_n = b_.active.dot(s_.plateau.axes.col(2));
    state_.patella_contact_n = b_.patella_contact_n;
    state_.patella_pressure_mpa = b_.patella_contact_n / s_.anatomy.joint.patella_contact_area_mm2;
  }

  void pose()
  {
    state_.translation_cranial_mm = -state_.unknowns[0];
    state_.varus_rad = -state_.unknowns[3] / pose_lever_mm;
    state_.rotation_internal_rad = -state_.unknowns[4] / pose_lever_mm;
    const Vector3 &line = b_.tendon_direction;
    state_.tendon_angle_rad = pi - std::atan2(line.dot(s_.plateau.axes.col(2)), line.dot(s_.plateau.axes.col(0)));
    state_.femur_origin = b_.pose.femur.shift_mm;
    state_.patella = b_.patella;
  }

  void contact()
  {
    Vector3 both = Vector3::Zero();
    for (int side : {medial, lateral})
    {
      BedWrench sum = b_.contact[side];
      sum += b_.rim[side];
      const Vector3 force = sum.on_tibia.head<3>(), moment = sum.on_tibia.tail<3>();
      both += force;
      (side == medial ? state_.contact_medial_n : state_.contact_lateral_n) = force.norm();
      state_.meniscus_n[side] = b_.rim[side].load_n;
      state_.contact_area_mm2[side] = sum.area_mm2;
      state_.cartilage_peak_mpa[side] = b_.contact[side].peak_mpa;
      state_.meniscus_peak_mpa[side] = b_.rim[side].peak_mpa;
      state_.area_above_10_mpa_mm2[side] = sum.area_above_mm2;
      const BedWrench &bed = b_.contact[side].load_n > 0 ? b_.contact[side] : b_.rim[side];
      state_.contact_centre[side] = bed.centre_mm;
      state_.contact_normal[side] = -bed.on_tibia.head<3>().normalized(); // without friction
      state_.peak_pressure_mpa = std::max(state_.peak_pressure_mpa, sum.peak_mpa);
      if (sum.load_n > 0)
        state_.on_tibia.push_back({side == medial ? "contact_medial" : "contact_lateral", sum.centre_mm, force,
                                   c_.bone.levelling.cut, moment - sum.centre_mm.cross(force)});
    }
    state_.joint_force_n = both.norm();
  }

  void bundles()
  {
    std::map<std::string, Group> ends, whole;
    for (std::size_t i = 0; i < b_.bundle_forces.size(); ++i)
    {
      const Bundle &bundle = s_.anatomy.joint.bundles[i];
      const bool distal = c_.bone.levelling.cut && !bundle.proximal;
      ends[bundle.group + (distal ? "_distal" : "")].add(bundle.tibia, b_.bundle_forces[i]);
      whole[bundle.group].add(bundle.tibia, b_.bundle_forces[i]);
    }
    state_.cruciate_cranial_n = whole["cruciate_cranial"].force.norm();
    state_.cruciate_caudal_n = whole["cruciate_caudal"].force.norm();
    state_.collateral_medial_n = whole["collateral_medial"].force.norm();
    state_.collateral_lateral_n = whole["collateral_lateral"].force.norm();
    state_.capsule_n = whole["capsule"].force.norm();
    for (const auto &[name, g] : ends)
      if (g.weight > 0)
      {
        const Vector3 at = g.middle / g.weight;
        const bool distal = name.size() > 7 && name.compare(name.size() - 7, 7, "_distal") == 0;
        state_.on_tibia.push_back({name, at, g.force, c_.bone.levelling.cut && !distal, g.moment - at.cross(g.force)});
      }
  }

  /// Muscles, suture and weight; forces that are not there are left out.
  void forces()
  {
    const Anatomy &a = s_.anatomy;
    const Levelling &cut = c_.bone.levelling;
    const auto add = [&](const std::string &name, const Vector3 &point, const Vector3 &force)
    {
      if (force.norm() > 0)
        state_.on_tibia.push_back({name, point, force, cut.cut && cut.proximal(point)});
    };
    add("patellar_tendon", a.tendon_insertion, state_.patellar_tendon_n * b_.tendon_direction);
    add("hamstrings", a.hamstrings_tibia, b_.hamstrings);
    add("popliteus", a.joint.popliteus_tibia, b_.popliteus);
    add("suture", s_.suture ? s_.suture->tibia : Vector3(Vector3::Zero()), b_.suture);
    state_.repair_load_n = b_.suture.norm();
    add("calcanean_share", a.calcanean_origin, -b_.tibial_share);
    state_.on_tibia.push_back({"crus_weight", s_.load.crus_centre, s_.load.crus_weight, false});
    if (s_.rotation_held)
      state_.on_tibia.push_back({"rig", s_.load.hock_centre, Vector3::Zero(), false, holding_couple()});
  }

  /// Does work in the held rotation only, not in varus and flexion.
  Vector3 holding_couple() const
  {
    const Vector3 across = b_.pose.floating.cross(b_.pose.medial_axis);
    return -pose_lever_mm * b_.residual(4) / across.z() * across;
  }

  const JointCase &c_;
  const SpatialSetup &s_;
  const SpatialBalance &b_;
  JointState &state_;
};

Vector7 unknowns_of(const JointState &state) { return Eigen::Map<const Vector7>(state.unknowns.data()); }
} // namespace

JointState describe(const JointCase &c, const SpatialSetup &s, const SpatialEquilibrium &e)
{
  JointState state;
  state.converged = e.converged;
  state.iterations = e.iterations;
  state.residual_n = e.residual_n;
  state.residuals_n = e.residuals_n;
  state.reason = e.reason;
  state.dislocates = e.dislocates;
  Eigen::Map<Vector7>(state.unknowns.data()) = e.unknowns;
  if (!e.converged)
    return state;
  state.patellar_tendon_n = e.unknowns(5);
  state.quadriceps_clipped = e.clipped;
  const SpatialBalance balance = spatial_balance(s, e.unknowns);
  state.stable = is_stable(s, balance, !s.moment_held && !e.clipped);
  Describer(c, s, balance, state).all();
  return state;
}

namespace
{
/// What the femur does when it is let go slowly: a pose, or no pose and why. A search that ends nowhere keeps its own reason.
SpatialEquilibrium or_let_go(const SpatialEquilibrium &failed, const SpatialSetup &setup, const Vector7 &start)
{
  SpatialEquilibrium slow = let_go_slowly(setup, start);
  slow.iterations += failed.iterations;
  if (slow.dislocates)
    slow.reason += "; " + failed.reason;
  else if (!slow.converged)
    slow.reason = failed.reason;
  return slow;
}

/// From the reference pose; where that fails from a guess; where that fails with the load growing from nothing.
SpatialEquilibrium solve_intact(const SpatialSetup &setup, const JointState *guess)
{
  SpatialEquilibrium found = find_spatial_equilibrium(setup, reference_unknowns(setup));
  if (!found.converged && guess && guess->converged)
    found = find_spatial_equilibrium(setup, unknowns_of(*guess));
  if (!found.converged)
    found = follow_path(setup, [&](double part) { return with_load_part(setup, part); }, reference_unknowns(setup), "load");
  return found.converged ? found : or_let_go(found, setup, reference_unknowns(setup));
}

/// From where the intact joint stands; where that fails with the ligament cut bit by bit; then from a guess.
SpatialEquilibrium solve_from_intact(const SpatialSetup &setup, const Vector7 &intact, const JointState *guess)
{
  SpatialEquilibrium found = find_spatial_equilibrium(setup, intact);
  if (!found.converged)
    found = follow_path(setup, [&](double part) { return partly_cut(setup, part); }, intact, "cut");
  if (!found.converged && guess && guess->converged)
  {
    const SpatialEquilibrium other = find_spatial_equilibrium(setup, unknowns_of(*guess));
    if (other.converged)
      return other;
  }
  return found.converged ? found : or_let_go(found, setup, intact);
}

JointState refused(const std::string &reason)
{
  JointState state;
  state.reason = reason;
  return state;
}

/// Why the surfaces cannot start a search: they lie deeper in one another than their cartilage is thick. A user's own surfaces are
/// judged where they are read (user_surfaces.cc).
std::string interpenetration(const JointCase &c, const SpatialSetup &setup)
{
  if (setup.surfaces)
    return "";
  const RigidPose start = pose_of(setup, reference_unknowns(setup)).femur;
  for (const int side : {medial, lateral})
    if (const double depth = setup.beds[side].interpenetration_mm(start); depth > c.scenario.joint.layer_thickness_mm)
      return fmt::format("the {} surfaces interpenetrate by {:.2f} mm at the start, more than joint.layer_thickness_mm {:g}",
                         side == medial ? "medial" : "lateral", depth, c.scenario.joint.layer_thickness_mm);
  return "";
}
} // namespace

JointState solve_spatial_joint(const JointCase &joint_case, const JointState *guess)
{
  if (!std::isfinite(joint_case.load.ground_force.norm()))
    return refused("the load is not a finite number");
  JointCase intact_case = joint_case;
  intact_case.ligament = LigamentState::intact;
  intact_case.bone.suture.reset();
  const SpatialSetup intact(intact_case);
  if (const std::string reason = interpenetration(intact_case, intact); !reason.empty())
    return refused(reason);
  const SpatialEquilibrium sound = solve_intact(intact, guess);
  JointState state = describe(intact_case, intact, sound);
  if (!sound.converged || (joint_case.ligament == LigamentState::intact && !joint_case.bone.suture))
    return state;
  const SpatialSetup setup(joint_case);
  JointState other = describe(joint_case, setup, solve_from_intact(setup, sound.unknowns, guess));
  other.iterations += sound.iterations;
  other.thrust_n = other.converged ? state.thrust_n : 0;
  other.normal_n = other.converged ? state.normal_n : 0;
  return other;
}
} // namespace stifle
