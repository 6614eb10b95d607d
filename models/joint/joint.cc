#include "models/core/error.h"
#include "models/joint/equilibrium.h"
#include "models/joint/patella.h"
#include "models/joint/spatial_joint.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
Vector3 in_space(const Plane<double> &p, double y = 0) { return {p.x, y, p.z}; }

/// Quadriceps force: the patella slides freely on the trochlea circle.
double quadriceps_n(const BalanceSetup &s, const Balance<double> &b, double tendon_n)
{
  const Vector3 insertion = femur_rotation(s.load.stifle_angle_rad).transpose() * (s.anatomy.tendon_insertion - in_space(b.centre));
  const Anatomy &a = s.anatomy;
  const Groove groove{a.trochlea_centre, a.quadriceps_origin, a.trochlea_radius_mm, a.tendon_length_mm, a.joint.patella_length_mm};
  return tendon_n * place_patella<double>(groove, insertion.x(), 0, insertion.z(), 0).quadriceps_per_tendon;
}

/// One force in the place of the bed: on its line of action, next to the centre of pressure.
Vector3 contact_point(const BalanceSetup &s, const ContactForce<double> &c)
{
  const double t = c.centre_t_mm;
  const Plane<double> near{t, -t * t / (2 * s.bed.plateau_radius_mm)};
  const double missing = c.moment_nmm - moment(near, c.force_n);
  const double square = dot(c.force_n, c.force_n);
  const Plane<double> shift{-missing * c.force_n.z / square, missing * c.force_n.x / square}; // moment(shift, force) = missing
  const Plane<double> at = near + shift;
  return s.origin + at.x * s.chord + at.z * s.normal;
}

void add_forces(const JointCase &c, const BalanceSetup &s, const Balance<double> &b, JointState &state)
{
  const Anatomy &a = s.anatomy;
  const Levelling &cut = c.bone.levelling;
  const auto add = [&](const std::string &name, const Vector3 &point, const Vector3 &force, bool proximal) {
    state.on_tibia.push_back({name, point, force, proximal});
  };
  // The arc turns into itself, so an operated landmark inside it is one that moved.
  const auto moves = [&](const Vector3 &point) { return cut.cut && cut.proximal(point); };

  const double share = c.scenario.joint.contact_medial_share;
  const Vector3 contact = b.contact.force_n.x * s.chord + b.contact.force_n.z * s.normal;
  if (b.contact.touching)
  {
    const Vector3 point = contact_point(s, b.contact), side(0, a.condyle_offset_mm, 0);
    add("contact_medial", point + side, share * contact, cut.cut);
    add("contact_lateral", point - side, (1 - share) * contact, cut.cut);
  }
  const Vector3 offset(0, c.scenario.joint.tendon_offset_medial_mm, 0);
  add("patellar_tendon", a.tendon_insertion + offset, state.patellar_tendon_n * in_space(b.tendon_direction),
      moves(a.tendon_insertion));
  add("cruciate_cranial", a.cranial_cruciate_tibia, in_space(b.cranial_force), moves(a.cranial_cruciate_tibia));
  add("cruciate_caudal", a.caudal_cruciate_tibia, in_space(b.caudal_force), moves(a.caudal_cruciate_tibia));
  add("secondary", a.secondary_tibia, in_space(b.secondary_force), moves(a.secondary_tibia));
  add("hamstrings", a.hamstrings_tibia, in_space(b.hamstrings_force), moves(a.hamstrings_tibia));
  add("calcanean_share", a.calcanean_origin, -in_space(b.tibial_share), moves(a.calcanean_origin));
  add("crus_weight", s.load.crus_centre, s.load.crus_weight, false);
  state.contact_medial_n = share * contact.norm();
  state.contact_lateral_n = (1 - share) * contact.norm();
  state.joint_force_n = contact.norm();
  state.peak_pressure_mpa = b.contact.peak_mpa * 2 * std::max(share, 1 - share);
}

JointState describe(const JointCase &c, const BalanceSetup &s, const Equilibrium &e)
{
  JointState state;
  state.converged = e.converged;
  state.iterations = e.iterations;
  state.residual_n = e.residual_n;
  state.residuals_n = e.residuals_n;
  const Balance<double> b = balance<double>(s, e.t_mm, e.n_mm, e.tendon_n);
  if (!e.converged || !b.possible)
    return state;
  state.patellar_tendon_n = e.tendon_n;
  state.quadriceps_n = quadriceps_n(s, b, e.tendon_n);
  state.quadriceps_clipped = e.clipped;
  state.calcanean_clipped = b.calcanean_clipped;
  state.gastrocnemius_n = s.load.gastrocnemius_share * b.calcanean_n;
  state.hamstrings_n = s.load.hamstrings_n;
  state.hock_on_tibia = in_space(b.hock_on_tibia);
  state.hock_force_n = state.hock_on_tibia.norm();
  state.thrust_n = b.thrust_n;
  state.normal_n = b.normal_n;
  state.cruciate_cranial_n = length(b.cranial_force);
  state.cruciate_caudal_n = length(b.caudal_force);
  state.secondary_n = length(b.secondary_force);
  state.translation_cranial_mm = -e.t_mm;
  // Angle of the tendon against the plateau, measured so that more than 90 degrees pulls the tibia cranially.
  state.tendon_angle_rad =
      pi - std::atan2(dot(b.tendon_direction, in_plane<double>(s.normal)), dot(b.tendon_direction, in_plane<double>(s.chord)));
  state.femur_origin = in_space(b.centre);
  state.patella = in_space(b.patella);
  add_forces(c, s, b, state);
  return state;
}

/// Place on the chord of an earlier state.
double chord_place(const BalanceSetup &s, const JointState &state) { return (state.femur_origin - s.origin).dot(s.chord); }
} // namespace

std::string to_string(LigamentState state) { return state == LigamentState::intact ? "intact" : "torn"; }

std::string to_string(LoadSet set)
{
  switch (set)
  {
  case LoadSet::stance:
    return "stance";
  case LoadSet::press:
    return "press";
  case LoadSet::axial:
    return "axial";
  default:
    return "tendon";
  }
}

LigamentState ligament_state(const std::string &name)
{
  for (LigamentState state : {LigamentState::intact, LigamentState::torn})
    if (to_string(state) == name)
      return state;
  throw Error(fmt::format("unknown state of the ligament '{}'; known: intact, torn", name));
}

LoadSet load_set(const std::string &name)
{
  for (LoadSet set : {LoadSet::stance, LoadSet::press, LoadSet::axial, LoadSet::tendon})
    if (to_string(set) == name)
      return set;
  throw Error(fmt::format("unknown load set '{}'; known: stance, press, axial, tendon", name));
}

JointState solve_joint(const JointCase &joint_case, const JointState *guess)
{
  if (joint_case.scenario.joint.dimension == 3)
    return solve_spatial_joint(joint_case, guess);
  JointCase intact_case = joint_case;
  intact_case.ligament = LigamentState::intact;
  const BalanceSetup intact_setup(intact_case);
  const bool warm = guess && guess->converged;
  const double start = warm ? chord_place(intact_setup, *guess) : 0.0;
  const bool torn = joint_case.ligament == LigamentState::torn;
  const Equilibrium intact = find_equilibrium(intact_setup, torn ? 0.0 : start);
  JointState state = describe(intact_case, intact_setup, intact);
  if (!torn || !intact.converged)
    return state;
  // Cutting the ligament: the march starts where the intact joint stood.
  const BalanceSetup torn_setup(joint_case);
  JointState cut = describe(joint_case, torn_setup, find_equilibrium(torn_setup, warm ? start : intact.t_mm));
  cut.thrust_n = cut.converged ? state.thrust_n : 0;
  cut.normal_n = cut.converged ? state.normal_n : 0;
  cut.iterations += intact.iterations;
  return cut;
}
} // namespace stifle
