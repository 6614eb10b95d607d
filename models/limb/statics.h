// models/limb/statics.h - quasi-static balance of foot, crus and thigh at one instant of stance
//   frame   sagittal plane in the tibia frame (y = 0 for every force); moments about +y in N mm
//   source  DEVELOPERS.md "Limb"; free body of joint.md section 2; segment masses of alternatives.md section 6
//   limits  quasi-static; no co-contraction unless hamstrings_n is given
#pragma once
#include "models/limb/activities.h"
#include "models/parts/anatomy.h"

namespace stifle
{
/// What one instant of an activity puts on the limb, in the tibia frame. A plain value.
struct StanceLoad
{
  std::string activity;
  double      percent            = 0;
  double      stifle_angle_rad   = 0; ///< 180 deg = straight
  double      hock_angle_rad     = 0;
  double      tibia_tilt_rad     = 0;
  Vector3     up                 = Vector3::UnitZ(); ///< world vertical in the tibia frame
  Vector3     ground_force       = Vector3::Zero();
  Vector3     centre_of_pressure = Vector3::Zero();
  Vector3     hock_centre        = Vector3::Zero();
  Vector3     calcaneus_tip      = Vector3::Zero();
  Vector3     foot_weight        = Vector3::Zero();
  Vector3     foot_centre        = Vector3::Zero();
  Vector3     crus_weight        = Vector3::Zero();
  Vector3     crus_centre        = Vector3::Zero();
  double      gastrocnemius_share = 0.67;
  double      hamstrings_n       = 0;
  bool        has_muscle         = true;  ///< false in press, axial and tendon sets: no calcanean force
};

StanceLoad stance_load(const Scenario &scenario, const Anatomy &anatomy, const Activity &activity, double percent);

/// Balance of the foot alone: the calcanean force that the moment about the hock needs and the force the tibia
/// takes from the foot at the hock centre, for a given place of the gastrocnemius origin (tibia frame).
struct FootBalance
{
  double  calcanean_n     = 0; ///< whole force at the calcaneus tip, >= 0
  double  gastrocnemius_n = 0; ///< the part that crosses the stifle
  Vector3 gastrocnemius   = Vector3::Zero(); ///< force on the foot at the calcaneus tip, towards the femur
  Vector3 tibial_share    = Vector3::Zero(); ///< force on the foot at the calcaneus tip, towards its origin on the tibia
  Vector3 hock_on_tibia   = Vector3::Zero(); ///< foot on tibia = ground force + foot weight + whole calcanean force
  double  unbalanced_nmm  = 0;     ///< moment about the hock (+y) that stays: 0 unless clipped or without muscle
  bool    clipped         = false; ///< the balance asked for a calcanean force below 0; it was set to 0
};
/// Directions are taken in the sagittal plane. Throws Error when the calcanean force has no extending lever at the hock.
FootBalance foot_balance(const StanceLoad &load, const Vector3 &gastrocnemius_origin, const Vector3 &calcanean_origin);

/// Net joint moments that the muscles must supply (extensor positive, N mm). The stifle is taken at the intercondylar
/// point and the hip `femur_length_mm` above it, as in the sheet; `with_weights` adds foot, crus and (hip) thigh weight.
struct NetMoments
{
  double stifle_nmm = 0, hock_nmm = 0, hip_nmm = 0;
};
NetMoments net_moments(const StanceLoad &load, const Anatomy &anatomy, bool with_weights);
} // namespace stifle
