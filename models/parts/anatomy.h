// models/parts/anatomy.h - the one set of landmarks that limb, joint, mesh and loads share
//   frame   unoperated tibia (models/core/units.h). Femur landmarks in the femur frame: origin = centre of the condyle circle,
//           z along the femur axis towards the hip, x cranial; at stifle angle 180 it is parallel to the tibia frame.
//           Foot landmarks in the foot frame: origin = hock centre, z from toe joint to hock, x cranial.
//   units   mm, radians
//   errors  none: the scenario was checked when it was read
//   source  measures of a 30 kg dog with a 200 mm tibia, labels in anatomy.cc; scaled by length_mm / 200
#pragma once
#include "models/parts/joint_parts.h"

namespace stifle
{
struct Anatomy
{
  // tibia frame
  double tibia_length_mm;        ///< intercondylar point to hock centre along -z
  double plateau_angle_rad;      ///< unoperated; plateau chord = (cos, 0, sin), normal = (-sin, 0, cos)
  double plateau_radius_mm;      ///< convex craniocaudally: the condyle surface falls away from the chord line by s^2/(2 r)
  double plateau_half_length_mm; ///< chord from -half to +half about the intercondylar point
  double condyle_offset_mm;      ///< y of the medial contact centre; the lateral one lies at -y
  double condyle_width_mm;       ///< mediolateral width of each contact strip
  Vector3 hock_centre;
  Vector3 tendon_insertion;                              ///< patellar tendon on the tuberosity (stays distal)
  Vector3 cranial_cruciate_tibia, caudal_cruciate_tibia; ///< proximal side of the cut
  Vector3 secondary_tibia;                               ///< where the secondary spring acts; proximal side of the cut
  Vector3 hamstrings_tibia;                              ///< distal side of the cut
  Vector3 calcanean_origin;                              ///< origin of the calcanean share that does not cross the stifle
  Vector3 crus_centre_of_mass;
  // cruciates: rest lengths from the reference pose of the unoperated joint (anatomy.cc); levelling does not change them
  double cranial_cruciate_stiffness_n_per_mm, caudal_cruciate_stiffness_n_per_mm; ///< of the linear part
  double cranial_cruciate_rest_mm, caudal_cruciate_rest_mm;                       ///< sagittal projection
  double cruciate_toe_strain; ///< up to here the force grows with strain squared
  // femur frame
  double condyle_radius_mm;
  double femur_length_mm; ///< condyle centre to hip
  Vector3 cranial_cruciate_femur, caudal_cruciate_femur;
  Vector3 trochlea_centre;
  double trochlea_radius_mm; ///< from trochlea centre to the tendon attachment on the patella
  Vector3 gastrocnemius_origin;
  Vector3 quadriceps_origin;
  Vector3 hamstrings_origin;
  double tendon_length_mm;
  // foot frame
  double foot_length_mm; ///< toe joint to hock
  Vector3 calcaneus_tip;
  Vector3 foot_centre_of_mass;
  // masses
  double body_weight_n, thigh_mass_kg, crus_mass_kg, foot_mass_kg;
  double thigh_centre_fraction; ///< from the hip, fraction of femur length
  JointParts joint;             ///< of the three-dimensional joint
};

/// A tendon angle given by the scenario (joint.tendon_angle_deg) sets the radius of the trochlea: with the condyles on the plateau
/// at the intercondylar point, at the stifle and plateau angle of the measurement, the tendon lies as measured. The insertion does
/// not turn with the plateau, and the shifts of a variation are added afterwards.
/// A native plateau angle other than that of the measures turns the plateau and every landmark on it about the intercondylar
/// point; the tuberosity, the shaft and the femur stay.
Anatomy make_anatomy(const Scenario &scenario, const AnatomyVariation &variation);
/// With the variation that the scenario carries (of a drawn dog; else none).
Anatomy make_anatomy(const Scenario &scenario);
/// Unit vectors of the plateau chord (caudal to cranial) and of its normal (proximal), tibia frame.
Vector3 plateau_chord(const Anatomy &anatomy);
Vector3 plateau_normal(const Anatomy &anatomy);
/// Femur frame to tibia frame (rotation only) at an included stifle angle.
Matrix3 femur_rotation(double stifle_angle_rad);
/// Why a tendon angle given by the scenario cannot be that of this dog: the patella would lie in the bone or far from the groove.
std::optional<std::string> tendon_problem(const Scenario &scenario);
/// Label and source of every number above that is not a scenario key.
std::vector<AssumptionRow> anatomy_sources();
} // namespace stifle
