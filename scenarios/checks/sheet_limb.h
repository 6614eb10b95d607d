// scenarios/checks/sheet_limb.h - the limb whose lengths and weight the reference sheet states
//   source  joint.md section 6b: femur 195, tibia 200, metatarsus 125 mm, 30 kg = 294.2 N; no segment weights
#pragma once
#include "models/limb/sheet.h"
#include "models/limb/statics.h"

namespace stifle::checks
{
inline Anatomy sheet_limb()
{
  Anatomy a{};
  a.tibia_length_mm = 200;
  a.femur_length_mm = 195;
  a.foot_length_mm = 125;
  a.hock_centre = Vector3(0, 0, -200);
  a.calcaneus_tip = a.foot_centre_of_mass = a.crus_centre_of_mass = Vector3::Zero();
  a.body_weight_n = 294.2;
  return a;
}

inline StanceLoad sheet_stance(const Activity &activity, double percent)
{
  return stance_load(Scenario(), sheet_limb(), activity, percent);
}

/// Free body of the sheet at plateau angle 24 for given muscle forces.
inline SheetLoad sheet_load(const ActivityRow &posture, double patellar_tendon_n, double gastrocnemius_n)
{
  SheetLoad load;
  load.patellar_tendon_n = patellar_tendon_n;
  load.gastrocnemius_n = gastrocnemius_n;
  load.force_up_n = posture.force_up_bw * sheet_limb().body_weight_n;
  load.force_cranial_n = posture.force_cranial_bw * sheet_limb().body_weight_n;
  load.tibia_tilt_rad = radians(posture.tibia_tilt_deg);
  load.plateau_angle_rad = radians(24);
  load.tendon_angle_rad = sheet_tendon_angle_rad(radians(180 - posture.tibia_tilt_deg - posture.femur_tilt_deg));
  return load;
}
} // namespace stifle::checks
