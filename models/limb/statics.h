// models/limb/statics.h - quasi-static balance of foot, crus and thigh at one instant of stance
//   frame   tibia frame of a right limb (x cranial, y medial, z proximal); a left limb is the same numbers, mirrored. Moments in
//           N mm. All vectors of one load may be turned together: see rotated().
//   in 3-D  loads carry all three components. Hock and stifle are hinges about the medial axis: muscles balance the moment about
//           it only. The side force and the other two moments pass through the hock and are reported (FootBalance::hock_moment).
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
  Vector3     toe_joint          = Vector3::Zero();
  Vector3     hock_centre        = Vector3::Zero();
  Vector3     calcaneus_tip      = Vector3::Zero();
  Vector3     foot_weight        = Vector3::Zero();
  Vector3     foot_centre        = Vector3::Zero();
  Vector3     crus_weight        = Vector3::Zero();
  Vector3     crus_centre        = Vector3::Zero();
  double      gastrocnemius_share = 0.67;
  double      hamstrings_n       = 0;
  double      popliteus_n        = 0;
  Matrix3     axes               = Matrix3::Identity(); ///< columns: cranial, medial, proximal of the tibia
  bool        has_muscle         = true;  ///< false in press, axial and tendon sets: no calcanean force
};

StanceLoad stance_load(const Scenario &scenario, const Anatomy &anatomy, const Activity &activity, double percent);
/// The same load without its side force: what the sagittal models see; the pressure centre comes into the plane of the foot.
StanceLoad sagittal(StanceLoad load);
/// Every vector turned about the intercondylar point: the same limb and gravity in another frame. `turn` is a proper rotation.
StanceLoad rotated(StanceLoad load, const Matrix3 &turn);
/// The same limb with its axes along those of the tibia frame again: what the joint works in.
StanceLoad in_tibia_frame(const StanceLoad &load);

/// Balance of the foot alone: the calcanean force that the moment about the hock needs and the force the tibia
/// takes from the foot at the hock centre, for a given place of the gastrocnemius origin (tibia frame).
struct FootBalance
{
  double  calcanean_n     = 0; ///< whole force at the calcaneus tip, >= 0
  double  gastrocnemius_n = 0; ///< the part that crosses the stifle
  Vector3 gastrocnemius   = Vector3::Zero(); ///< force on the foot at the calcaneus tip, towards the femur
  Vector3 tibial_share    = Vector3::Zero(); ///< force on the foot at the calcaneus tip, towards its origin on the tibia
  Vector3 hock_on_tibia   = Vector3::Zero(); ///< foot on tibia = ground force + foot weight + whole calcanean force
  Vector3 hock_moment     = Vector3::Zero(); ///< foot on tibia, about the hock centre, N mm: what joint and ligaments carry
  double  unbalanced_nmm  = 0;     ///< its part about the medial axis: 0 unless clipped or without muscle
  bool    clipped         = false; ///< the balance asked for a calcanean force below 0; it was set to 0
};
/// The calcanean force stays in the plane of the hinges: the y of its origins is not used. Throws Error when the calcanean force has no extending lever at the hock.
FootBalance foot_balance(const StanceLoad &load, const Vector3 &gastrocnemius_origin, const Vector3 &calcanean_origin);

/// Net joint moments that the muscles must supply (extensor positive, N mm). The stifle is taken at the intercondylar
/// point and the hip `femur_length_mm` above it, as in the sheet. About the medial axis: side forces do not count. `with_weights` adds foot, crus and (hip) thigh weight.
struct NetMoments
{
  double stifle_nmm = 0, hock_nmm = 0, hip_nmm = 0;
};
NetMoments net_moments(const StanceLoad &load, const Anatomy &anatomy, bool with_weights);
} // namespace stifle
