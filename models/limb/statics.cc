// Everything is planar: the world's up and cranial directions are turned into the tibia frame once, and from there on
// moments are taken about +y with (r x F)_y = r_z F_x - r_x F_z.
#include "models/limb/statics.h"

#include "models/core/error.h"

#include <fmt/format.h>

namespace stifle
{
namespace
{
double moment_nmm(const Vector3 &arm_mm, const Vector3 &force_n) { return arm_mm.z() * force_n.x() - arm_mm.x() * force_n.z(); }

/// Unit vector in the sagittal plane: the limb statics carry no side force.
Vector3 sagittal_direction(const Vector3 &from, const Vector3 &to)
{
  Vector3 d = to - from;
  d.y() = 0;
  return d.normalized();
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
  load.ground_force = anatomy.body_weight_n * (row.force_up_bw * up + row.force_cranial_bw * cranial);
  load.hock_centre = anatomy.hock_centre;
  load.centre_of_pressure = foot_point({0, 0, -anatomy.foot_length_mm}) +
                            row.centre_of_pressure_mm * anatomy.foot_length_mm / tabulated_foot_mm * cranial;
  load.calcaneus_tip = foot_point(anatomy.calcaneus_tip);
  load.foot_weight = -anatomy.foot_mass_kg * gravity_n_per_kg * up;
  load.foot_centre = foot_point(anatomy.foot_centre_of_mass);
  load.crus_weight = -anatomy.crus_mass_kg * gravity_n_per_kg * up;
  load.crus_centre = anatomy.crus_centre_of_mass;
  load.gastrocnemius_share = scenario.limb.gastrocnemius_share;
  load.hamstrings_n = scenario.limb.hamstrings_n;
  return load;
}

FootBalance foot_balance(const StanceLoad &load, const Vector3 &gastrocnemius_origin, const Vector3 &calcanean_origin)
{
  FootBalance balance;
  balance.hock_on_tibia = load.ground_force + load.foot_weight;
  balance.unbalanced_nmm = moment_nmm(load.centre_of_pressure - load.hock_centre, load.ground_force) +
                           moment_nmm(load.foot_centre - load.hock_centre, load.foot_weight);
  if (!load.has_muscle)
    return balance;

  const double share = load.gastrocnemius_share;
  const Vector3 to_femur = share * sagittal_direction(load.calcaneus_tip, gastrocnemius_origin);
  const Vector3 to_tibia = (1 - share) * sagittal_direction(load.calcaneus_tip, calcanean_origin);
  const double lever_mm = moment_nmm(load.calcaneus_tip - load.hock_centre, to_femur + to_tibia);
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
  balance.unbalanced_nmm += balance.calcanean_n * lever_mm;
  return balance;
}

NetMoments net_moments(const StanceLoad &load, const Anatomy &anatomy, bool with_weights)
{
  const double flexion = pi - load.stifle_angle_rad;
  const Vector3 stifle = Vector3::Zero();
  const Vector3 femur(-std::sin(flexion), 0, std::cos(flexion)); // from stifle to hip
  const Vector3 hip = stifle + anatomy.femur_length_mm * femur;
  const Vector3 thigh_centre = hip - anatomy.thigh_centre_fraction * anatomy.femur_length_mm * femur;
  const Vector3 thigh_weight = -anatomy.thigh_mass_kg * gravity_n_per_kg * load.up;

  // Moment about +y of the external forces on everything distal to a joint. A positive one bends the stifle and straightens
  // hock and hip, so the muscles must answer with the sign below.
  const auto distal_nmm = [&](const Vector3 &joint, bool crus, bool thigh)
  {
    double sum = moment_nmm(load.centre_of_pressure - joint, load.ground_force);
    if (with_weights)
      sum += moment_nmm(load.foot_centre - joint, load.foot_weight) +
             (crus ? moment_nmm(load.crus_centre - joint, load.crus_weight) : 0) +
             (thigh ? moment_nmm(thigh_centre - joint, thigh_weight) : 0);
    return sum;
  };
  NetMoments moments;
  moments.stifle_nmm = distal_nmm(stifle, true, false);
  moments.hock_nmm = -distal_nmm(load.hock_centre, false, false);
  moments.hip_nmm = -distal_nmm(hip, true, true);
  return moments;
}
} // namespace stifle
