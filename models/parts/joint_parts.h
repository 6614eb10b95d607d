// models/parts/joint_parts.h - what the three-dimensional joint is made of: condyles, plateaus, menisci, ligaments, patella
//   frame   tibia points in the unoperated tibia frame, femur points in the femur frame (models/parts/anatomy.h)
//   file    models/parts/joint_parts.yaml, or the file of joint.landmarks: every number with its source label. Lengths are those of
//           a 200 mm tibia with a plateau angle of 25 deg and are scaled with tibia.length_mm
//   errors  InputError (file, line, key) on unknown, missing or mistyped keys, absurd numbers
#pragma once
#include "models/core/scenario.h"
#include <array>

namespace stifle
{
/// Side of the joint; 0 medial (y > 0), 1 lateral.
enum Side
{
  medial = 0,
  lateral = 1
};

/// Femoral condyle: a torus about the y axis of the femur (a cylinder when the coronal radius is 0).
struct Condyle
{
  Vector3 centre = Vector3::Zero(); ///< femur frame, on the axis of flexion
  double sagittal_radius_mm = 13;
  double coronal_radius_mm = 9; ///< of the tube; below the sagittal radius, or 0 for a cylinder
};

/// Surface n = -s^2 / (2 sagittal) - (y - offset)^2 / (2 coronal) in the chord frame (s cranial, n proximal) of the plateau.
struct PlateauSide
{
  double offset_mm = 10; ///< y of its middle
  double sagittal_radius_mm = 26;
  double coronal_curvature_per_mm = 0; ///< > 0 convex, < 0 a dish
  double half_length_mm = 14.5, half_width_mm = 7;
};

/// C-shaped rim on a plateau, open towards the intercondylar space, that slides with the condyle against its horns.
struct Meniscus
{
  double centre_s_mm = 0, centre_y_mm = 10; ///< chord frame
  double radius_s_mm = 9, radius_y_mm = 6;  ///< of the middle line of the rim
  double opening_deg = 110;                 ///< free angle on the intercondylar side
  double width_mm = 5, thickness_mm = 3;    ///< of the loaded rim
  double axial_modulus_mpa = 6, hoop_modulus_mpa = 100, section_mm2 = 10;
  double free_slide_mm = 2.5;          ///< along the chord, to either side, before the horns tighten
  double horn_stiffness_n_per_mm = 40; ///< against sliding beyond; a twentieth of it before
  bool removed = false, caudal_pole_removed = false;
};

struct Bundle
{
  std::string name;  ///< cruciate_cranial_craniomedial, ...
  std::string group; ///< cruciate_cranial | cruciate_caudal | collateral_medial | collateral_lateral | capsule
  Vector3 tibia, femur;
  bool on_plateau = false;      ///< turns with a native plateau angle other than that of the measures
  bool on_fibula = false;       ///< its tibial end follows levelling.fibular_head
  double stiffness_n_per_mm = 0; ///< of the linear part
  double reference_strain = 0;  ///< in the reference pose; below 0: slack
  double toe_strain = 0.03;
  bool proximal = true; ///< its tibial end is on the segment that a cut frees (set by operate)
  double rest_mm = 0; ///< from the reference pose, filled by make_anatomy
};

struct JointParts
{
  std::array<Condyle, 2> condyles;
  std::array<PlateauSide, 2> plateaus;
  std::array<Meniscus, 2> menisci;
  std::vector<Bundle> bundles;
  std::array<Vector3, 2> fabella;          ///< origins of the two heads of gastrocnemius, femur frame
  Vector3 popliteus_femur, popliteus_tibia;
  double patella_length_mm = 0;            ///< between its poles
  double patella_contact_area_mm2 = 0;     ///< congruent area of patella on trochlea
  bool fibula_proximal = true;             ///< levelling.fibular_head
  // reference pose, in which strains and rims are stated: condyles on the intercondylar line, no rotation
  double reference_stifle_rad = 0, reference_indentation_mm = 0;
};

/// Scaled parts of a scenario, plateau landmarks turned to its plateau angle, rest lengths still 0.
JointParts make_joint_parts(const Scenario &scenario);
/// Label and source of every entry of the file in use.
std::vector<AssumptionRow> joint_part_sources(const Scenario &scenario);
} // namespace stifle
