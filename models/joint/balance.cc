#include "models/joint/balance.h"
#include "models/joint/layer.h"
#include "models/joint/ligament.h"

namespace stifle
{
BalanceSetup::BalanceSetup(const JointCase &c)
    : set(c.set), load(sagittal(in_tibia_frame(c.load))), anatomy(c.bone.anatomy), origin(c.bone.plateau_origin), chord(plateau_chord(anatomy)),
      normal(plateau_normal(anatomy)), cranial_intact(c.ligament == LigamentState::intact)
{
  const Matrix3 turn = femur_rotation(load.stifle_angle_rad);
  cranial_femur = turn * anatomy.cranial_cruciate_femur;
  caudal_femur = turn * anatomy.caudal_cruciate_femur;
  trochlea = turn * anatomy.trochlea_centre;
  gastrocnemius = turn * anatomy.gastrocnemius_origin;
  quadriceps = turn * anatomy.quadriceps_origin;
  hamstrings = turn * anatomy.hamstrings_origin;
  hip = turn * Vector3(0, 0, anatomy.femur_length_mm);
  const JointParameters &joint = c.scenario.joint;
  bed = {anatomy.condyle_radius_mm, anatomy.plateau_radius_mm, anatomy.plateau_half_length_mm, 2 * anatomy.condyle_width_mm,
         bonded_modulus_mpa(joint.layer_modulus_mpa) / joint.layer_thickness_mm};
  secondary_slack_mm = joint.secondary_slack_mm;
  secondary_stiffness = joint.secondary_stiffness_n_per_mm;
  secondary_toe_mm = 1; // assumption: rounds the corner at the end of the slack
  set_force_n = load.ground_force.norm();
  moment_held = set == LoadSet::axial;
}

namespace
{
/// Where the tendon attaches on the patella: on the circle about the trochlea, one tendon length from the tuberosity, on the
/// cranial side.
template <class T> void place_patella(const BalanceSetup &s, Balance<T> &b)
{
  using std::sqrt;
  const Plane<T> tuberosity = in_plane<T>(s.anatomy.tendon_insertion);
  const Plane<T> line = b.centre + in_plane<T>(s.trochlea) - tuberosity;
  const double tendon = s.anatomy.tendon_length_mm, circle = s.anatomy.trochlea_radius_mm;
  const T square = dot(line, line), distance = sqrt(square);
  const T along = (square + T(tendon * tendon - circle * circle)) / (T(2.0) * distance);
  const T across_square = T(tendon * tendon) - along * along;
  b.possible = value_of(across_square) > 1e-6;
  if (!b.possible)
    return;
  const Plane<T> to_trochlea = (T(1.0) / distance) * line;
  const Plane<T> cranial{to_trochlea.z, -to_trochlea.x}; // to the cranial side of a line that points proximally
  b.patella = tuberosity + along * to_trochlea + sqrt(across_square) * cranial;
  b.tendon_direction = unit(b.patella - tuberosity);
}

/// Force of the foot side in the sets press, axial and tendon, acting at the hock centre.
template <class T> Plane<T> set_force(const BalanceSetup &s, const Balance<T> &b)
{
  const Plane<T> hock = in_plane<T>(s.load.hock_centre);
  const T force = T(s.set_force_n);
  if (s.set == LoadSet::press)
    return force * unit(b.centre + in_plane<T>(s.hip) - hock);
  if (s.set == LoadSet::tendon)
    return force * b.tendon_direction;
  return in_plane<T>(s.load.ground_force); // axial: along the functional axis, from set_load
}

/// Calcanean force from the moment of the foot about the hock, in the pose.
template <class T> void balance_foot(const BalanceSetup &s, Balance<T> &b)
{
  const StanceLoad &load = s.load;
  const Plane<T> weight = in_plane<T>(load.foot_weight);
  if (s.set != LoadSet::stance)
  {
    b.foot_force = b.hock_on_tibia = set_force(s, b);
    return;
  }
  b.foot_force = in_plane<T>(load.ground_force) + weight;
  if (load.has_muscle)
  {
    const Plane<T> hock = in_plane<T>(load.hock_centre), tip = in_plane<T>(load.calcaneus_tip);
    const T share(load.gastrocnemius_share);
    const Plane<T> to_femur = share * unit(b.centre + in_plane<T>(s.gastrocnemius) - tip);
    const Plane<T> to_tibia = (T(1.0) - share) * unit(in_plane<T>(s.anatomy.calcanean_origin) - tip);
    const T needed = moment(in_plane<T>(load.centre_of_pressure) - hock, in_plane<T>(load.ground_force)) +
                     moment(in_plane<T>(load.foot_centre) - hock, weight);
    const T calcanean = -needed / moment(tip - hock, to_femur + to_tibia);
    b.calcanean_clipped = value_of(calcanean) < 0;
    if (value_of(calcanean) > 0)
    {
      b.calcanean_n = calcanean;
      b.gastrocnemius = calcanean * to_femur;
      b.tibial_share = calcanean * to_tibia;
    }
  }
  b.hock_on_tibia = b.foot_force + b.gastrocnemius + b.tibial_share;
}

template <class T> void pull_ligaments(const BalanceSetup &s, Balance<T> &b, const T &t_mm)
{
  const Anatomy &a = s.anatomy;
  const auto pull = [&](const Vector3 &tibia, const Vector3 &femur, double rest_mm, double stiffness)
  {
    const Plane<T> line = b.centre + in_plane<T>(femur) - in_plane<T>(tibia);
    return cord_tension_n(length(line), rest_mm, stiffness, a.cruciate_toe_strain) * unit(line);
  };
  if (s.cranial_intact)
    b.cranial_force =
        pull(a.cranial_cruciate_tibia, s.cranial_femur, a.cranial_cruciate_rest_mm, a.cranial_cruciate_stiffness_n_per_mm);
  b.caudal_force = pull(a.caudal_cruciate_tibia, s.caudal_femur, a.caudal_cruciate_rest_mm, a.caudal_cruciate_stiffness_n_per_mm);
  // The tibia is pulled towards where the femur went: along +t when the femur lies cranial.
  b.secondary_force =
      slack_spring_n(t_mm, s.secondary_slack_mm, s.secondary_stiffness, s.secondary_toe_mm) * in_plane<T>(s.chord);
}
} // namespace

template <class T> Balance<T> balance(const BalanceSetup &s, const T &t_mm, const T &n_mm, const T &tendon_n)
{
  Balance<T> b;
  const Plane<T> t = in_plane<T>(s.chord), n = in_plane<T>(s.normal), origin = in_plane<T>(s.origin);
  b.centre = origin + t_mm * t + n_mm * n;
  place_patella(s, b);
  if (!b.possible)
    return b;
  balance_foot(s, b);
  pull_ligaments(s, b, t_mm);
  if (s.load.hamstrings_n > 0)
    b.hamstrings_force =
        T(s.load.hamstrings_n) * unit(b.centre + in_plane<T>(s.hamstrings) - in_plane<T>(s.anatomy.hamstrings_tibia));
  b.contact = contact_force(s.bed, t_mm, n_mm);

  const auto at = [&](const Vector3 &p) { return in_plane<T>(p) - origin; };
  const Plane<T> weight = in_plane<T>(s.load.crus_weight), tendon = tendon_n * b.tendon_direction;
  const bool stance = s.set == LoadSet::stance;
  const Plane<T> active = b.foot_force + b.gastrocnemius + b.hamstrings_force + weight + tendon;
  const Plane<T> joint = b.cranial_force + b.caudal_force + b.secondary_force;
  b.thrust_n = dot(active, t);
  b.normal_n = dot(active, n);
  b.along_t = b.thrust_n + dot(joint, t) + b.contact.force_n.x;
  b.along_n = b.normal_n + dot(joint, n) + b.contact.force_n.z;
  const T foot_moment = stance ? moment(at(s.load.centre_of_pressure), in_plane<T>(s.load.ground_force)) +
                                     moment(at(s.load.foot_centre), in_plane<T>(s.load.foot_weight)) +
                                     moment(at(s.load.calcaneus_tip), b.gastrocnemius)
                               : moment(at(s.load.hock_centre), b.foot_force);
  b.turning = (foot_moment + moment(at(s.load.crus_centre), weight) + moment(at(s.anatomy.tendon_insertion), tendon) +
               moment(at(s.anatomy.hamstrings_tibia), b.hamstrings_force) +
               moment(at(s.anatomy.cranial_cruciate_tibia), b.cranial_force) +
               moment(at(s.anatomy.caudal_cruciate_tibia), b.caudal_force) +
               moment(at(s.anatomy.secondary_tibia), b.secondary_force) + b.contact.moment_nmm) /
              T(s.lever_mm);
  return b;
}

template Balance<double> balance(const BalanceSetup &, const double &, const double &, const double &);
template Balance<Dual> balance(const BalanceSetup &, const Dual &, const Dual &, const Dual &);
} // namespace stifle
