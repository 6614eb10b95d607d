// tests/models/limb/sheet_anatomy.h - a limb with the lengths the reference sheet states, for hand calculations
//   source  joint.md section 6b: femur 195, tibia 200, metatarsus 125 mm, 30 kg = 294.2 N; masses are round numbers
#pragma once
#include "models/limb/activities.h"
#include "models/parts/anatomy.h"

inline stifle::Anatomy sheet_anatomy()
{
  stifle::Anatomy a{};
  a.tibia_length_mm = 200;
  a.femur_length_mm = 195;
  a.foot_length_mm = 125;
  a.hock_centre = stifle::Vector3(0, 0, -200);
  a.calcaneus_tip = stifle::Vector3(-30, 0, 20);
  a.foot_centre_of_mass = stifle::Vector3(0, 0, -60);
  a.crus_centre_of_mass = stifle::Vector3(0, 0, -80);
  a.body_weight_n = 294.2;
  a.thigh_mass_kg = 2;
  a.crus_mass_kg = 0.5;
  a.foot_mass_kg = 0.2;
  a.thigh_centre_fraction = 0.4;
  return a;
}

/// One posture for every percent.
inline stifle::Activity posture(double tau_deg, double m_deg, double phi_deg, double up_bw, double cranial_bw, double pressure_mm)
{
  stifle::Activity activity;
  activity.name = "posture";
  activity.rows = {{50, tau_deg, m_deg, phi_deg, up_bw, cranial_bw, pressure_mm}};
  return activity;
}
