// The world's up and cranial directions are turned into the tibia frame once; from there on every moment is a cross product,
// and what the hinges balance is its part along the medial axis.
#include "models/limb/statics.h"

#include "models/core/error.h"

#include <fmt/format.h>

namespace stifle
{
namespace
{
/// Unit vector in the plane of the hinges.
Vector3 sagittal_direction(const Vector3 &from, const Vector3 &to, const Vector3 &medial)
{
  const Vector3 line = to - from;
  return (line - line.dot(medial) * medial).normalized();
}
} // namespace

StanceLoad stance_load(const Scenario &scenario, const Anatomy &anatomy, const Activity &activity, double percent)
{
  const ActivityRow row = activity.at(percent);
  const double tau = radians(row.tibia_tilt_deg), m = radians(row.metatarsus_tilt_deg), phi = radians(row.femur_tilt_deg);
  const Vector3 up(-std::sin(tau), 0, std::cos(tau)), cranial(std::cos(tau), 0, std::sin(tau));
  // Axes of the foot frame: z from toe joint to hock leans back by m.
  const Vector3 foot_x = std::cos(m) * cranial + std::sin(m) * up, foot_z = -std::sin(m) * cranial + std::cos(m) * up;
  const auto foot_point = [&](const Vector3 &p) -> Vector3
  { return anatomy.hock_centre + p.x() * foot_x + p.y() * Vector3::UnitY() + p.z() * foot_z; };
  // The pressure centre is tabulated for a foot of 125 mm (activities.yaml).
  const double tabulated_foot_mm = 125;

  StanceLoad load;
  load.activity = activity.name;
  load.percent = percent;
  load.tibia_tilt_rad = tau;
  load.stifle_angle_rad = pi - tau - phi;
  load.hock_angle_rad = pi - tau - m;
  load.up = up;
  const Vector3 medial = Vector3::UnitY();
  load.ground_force =
      anatomy.body_weight_n * (row.force_up_bw * up + row.force_cranial_bw * cranial + row.force_medial_bw * medial);
  load.hock_centre = anatomy.hock_centre;
  load.toe_joint = foot_point({0, 0, -anatomy.foot_length_mm});
  load.centre_of_pressure =
      load.toe_joint + anatomy.foot_length_mm / tabulated_foot_mm *
                           (row.centre_of_pressure_mm * cranial + row.centre_of_pressure_medial_mm * medial);
  load.calcaneus_tip = foot_point(anatomy.calcaneus_tip);
  load.foot_weight = -anatomy.foot_mass_kg * gravity_n_per_kg * up;
  load.foot_centre = foot_point(anatomy.foot_centre_of_mass);
  load.crus_weight = -anatomy.crus_mass_kg * gravity_n_per_kg * up;
  load.crus_centre = anatomy.crus_centre_of_mass;
  load.gastrocnemius_share = scenario.limb.gastrocnemius_share;
  load.hamstrings_n = scenario.limb.hamstrings_n;
  load.popliteus_n = scenario.limb.popliteus_n;
  return load;
}

StanceLoad sagittal(StanceLoad load)
{
  const Vector3 medial = load.axes.col(1);
  load.ground_force -= load.ground_force.dot(medial) * medial;
  load.centre_of_pressure -= (load.centre_of_pressure - load.toe_joint).dot(medial) * medial;
  return load;
}

StanceLoad rotated(StanceLoad load, const Matrix3 &turn)
{
  for (Vector3 *vector : {&load.up, &load.ground_force, &load.centre_of_pressure, &load.toe_joint, &load.hock_centre,
                          &load.calcaneus_tip, &load.foot_weight, &load.foot_centre, &load.crus_weight, &load.crus_centre})
    *vector = turn * *vector;
  load.axes = turn * load.axes;
  return load;
}

StanceLoad in_tibia_frame(const StanceLoad &load) { return rotated(load, load.axes.transpose()); }

FootBalance foot_balance(const StanceLoad &load, const Vector3 &gastrocnemius_origin, const Vector3 &calcanean_origin)
{
  const Vector3 medial = load.axes.col(1);
  const auto about_hock = [&](const Vector3 &point, const Vector3 &force) -> Vector3
  { return (point - load.hock_centre).cross(force); };
  FootBalance balance;
  balance.hock_on_tibia = load.ground_force + load.foot_weight;
  balance.hock_moment = about_hock(load.centre_of_pressure, load.ground_force) + about_hock(load.foot_centre, load.foot_weight);
  balance.unbalanced_nmm = balance.hock_moment.dot(medial);
  if (!load.has_muscle)
    return balance;

  const double share = load.gastrocnemius_share;
  const Vector3 to_femur = share * sagittal_direction(load.calcaneus_tip, gastrocnemius_origin, medial);
  const Vector3 to_tibia = (1 - share) * sagittal_direction(load.calcaneus_tip, calcanean_origin, medial);
  const Vector3 lever = about_hock(load.calcaneus_tip, to_femur + to_tibia); // moment of a unit force
  const double lever_mm = lever.dot(medial);
  if (!(lever_mm > 1e-3))
    throw Error(fmt::format("{} at {:.0f} %: the calcanean force has no extending lever at the hock ({:.3f} mm)", load.activity,
                            load.percent, lever_mm));
  const double needed_n = -balance.unbalanced_nmm / lever_mm;
  balance.clipped = needed_n < 0;
  balance.calcanean_n = std::max(needed_n, 0.0);
  balance.gastrocnemius_n = share * balance.calcanean_n;
  balance.gastrocnemius = balance.calcanean_n * to_femur;
  balance.tibial_share = balance.calcanean_n * to_tibia;
  balance.hock_on_tibia += balance.gastrocnemius + balance.tibial_share;
  balance.hock_moment += balance.calcanean_n * lever;
  balance.unbalanced_nmm = balance.hock_moment.dot(medial);
  return balance;
}

NetMoments net_moments(const StanceLoad &load, const Anatomy &anatomy, bool with_weights)
{
  const double flexion = pi - load.stifle_angle_rad;
  const Vector3 medial = load.axes.col(1), stifle = Vector3::Zero();
  const Vector3 femur = load.axes * Vector3(-std::sin(flexion), 0, std::cos(flexion)); // from stifle to hip
  const Vector3 hip = stifle + anatomy.femur_length_mm * femur;
  const Vector3 thigh_centre = hip - anatomy.thigh_centre_fraction * anatomy.femur_length_mm * femur;
  const Vector3 thigh_weight = -anatomy.thigh_mass_kg * gravity_n_per_kg * load.up;

  // Moment about the medial axis of the external forces on everything distal to a joint. A positive one bends the stifle and
  // straightens hock and hip, so the muscles must answer with the sign below.
  const auto distal_nmm = [&](const Vector3 &joint, double crus, double thigh)
  {
    Vector3 sum = (load.centre_of_pressure - joint).cross(load.ground_force);
    if (with_weights)
    {
      sum += (load.foot_centre - joint).cross(load.foot_weight);
      sum += crus * (load.crus_centre - joint).cross(load.crus_weight);
      sum += thigh * (thigh_centre - joint).cross(thigh_weight);
    }
    return sum.dot(medial);
  };
  NetMoments moments;
  moments.stifle_nmm = distal_nmm(stifle, 1, 0);
  moments.hock_nmm = -distal_nmm(load.hock_centre, 0, 0);
  moments.hip_nmm = -distal_nmm(hip, 1, 1);
  return moments;
}
} // namespace stifle
