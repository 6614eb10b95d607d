// models/joint/balance.h - all forces on tibia + foot for one place of the femur and one tendon force (2-D, sagittal)
//   frame     unoperated tibia, sagittal plane; t, n: plateau chord frame of the operated bone at the moved intercondylar point
//   unknowns  t_mm, n_mm centre of the condyle circle in the chord frame; tendon_n patellar tendon force
//   source    DEVELOPERS.md "Joint"
#pragma once
#include "models/joint/contact_bed.h"
#include "models/joint/joint.h"

namespace stifle
{
/// Everything of a case that does not change with the unknowns; femur landmarks relative to the condyle centre, turned.
struct BalanceSetup
{
  explicit BalanceSetup(const JointCase &joint_case);

  LoadSet set;
  StanceLoad load;
  Anatomy anatomy;
  Vector3 origin, chord, normal;
  Vector3 cranial_femur, caudal_femur, trochlea, gastrocnemius, quadriceps, hamstrings, hip;
  ContactBed bed;
  bool cranial_intact;
  double secondary_slack_mm, secondary_stiffness, secondary_toe_mm;
  double set_force_n;   ///< size of the force in the sets press, axial, tendon
  bool moment_held;     ///< axial: the rig holds the flexion, no tendon
  double lever_mm = 30; ///< turns a moment into a force for the size of a residual
};

template <class T> struct Balance
{
  // residuals: force on tibia + foot along t and n, and moment about the moved intercondylar point over lever_mm
  T along_t{}, along_n{}, turning{};
  // parts, tibia frame
  Plane<T> centre, patella, tendon_direction, foot_force, gastrocnemius, tibial_share, hock_on_tibia;
  Plane<T> cranial_force, caudal_force, secondary_force, hamstrings_force;
  ContactForce<T> contact; ///< in the chord frame
  T calcanean_n{};
  bool calcanean_clipped = false; ///< a need below 0 was set to 0
  T thrust_n{}, normal_n{}; ///< everything but contact, ligaments and spring
  bool possible = true;     ///< false: tendon too short to reach the trochlea circle
};

template <class T> Balance<T> balance(const BalanceSetup &setup, const T &t_mm, const T &n_mm, const T &tendon_n);
extern template Balance<double> balance(const BalanceSetup &, const double &, const double &, const double &);
extern template Balance<Dual> balance(const BalanceSetup &, const Dual &, const Dual &, const Dual &);
} // namespace stifle
