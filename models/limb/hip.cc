#include "models/limb/hip.h"

namespace stifle
{
HipForce hip_force(const StanceLoad &load, const Anatomy &anatomy, double quadriceps_n, const HipAssumptions &assumptions)
{
  const double scale = anatomy.femur_length_mm / 195;
  const double flexion = pi - load.stifle_angle_rad;
  const Vector3 towards_hip = load.axes * Vector3(-std::sin(flexion), 0, std::cos(flexion));
  const Vector3 thigh_weight = -anatomy.thigh_mass_kg * gravity_n_per_kg * load.up;

  HipForce hip;
  hip.rectus_n = assumptions.rectus_share * quadriceps_n;
  const double need = net_moments(load, anatomy, true).hip_nmm + hip.rectus_n * assumptions.rectus_arm_mm * scale;
  hip.extensor_n = need / (assumptions.extensor_arm_mm * scale);
  const double pull_n = hip.rectus_n + std::abs(hip.extensor_n);
  const StanceLoad planar = sagittal(load);
  hip.contact = -(planar.ground_force + load.foot_weight + load.crus_weight + thigh_weight + pull_n * towards_hip);
  hip.contact_bw = hip.contact.norm() / anatomy.body_weight_n;
  return hip;
}
} // namespace stifle
