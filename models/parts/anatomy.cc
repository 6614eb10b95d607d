#include "models/parts/anatomy.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
// Measures of the 30 kg dog with a 200 mm tibia. Every number below has a row in anatomy_sources().
constexpr double reference_length_mm = 200;
constexpr double reference_plateau_deg = 25; ///< plateau angle at which the landmarks on the plateau are stated
constexpr double reference_stifle_deg = 140; ///< pose in which the strain of the cruciates is stated
constexpr double reference_indentation_mm = 0.2; ///< of the cartilage when standing; the pre-strain is that of a loaded stance
constexpr double cranial_pre_strain = 0.02, caudal_pre_strain = 0.01;
constexpr double trochlea_radius_mm = 22;
constexpr double least_groove = 0.6, most_groove = 1.5; ///< of that radius: what a measured tendon angle may ask for (assumption)

/// Caudal of the tibia in the femur frame, in the pose of reference.
Vector3 caudal_in_femur() { return femur_rotation(radians(reference_stifle_deg)).transpose() * Vector3(-1, 0, 0); }

void set_tibia(Anatomy &a, const TibiaParameters &tibia, double scale)
{
  a.plateau_radius_mm = 26 * scale;
  a.plateau_half_length_mm = 14.5 * scale;
  a.condyle_offset_mm = 10 * scale;
  a.condyle_width_mm = 11 * scale;
  a.hock_centre = Vector3(tibia.hock_offset_cranial_mm, tibia.hock_offset_medial_mm, -tibia.length_mm);
  a.hamstrings_tibia = scale * Vector3(5, 0, -45);
  a.calcanean_origin = scale * Vector3(-9, 0, -60);
  a.crus_centre_of_mass = Vector3(0, 0, -0.31 * tibia.length_mm);
  const Matrix3 turn = rotation_about_y(a.plateau_angle_rad - radians(reference_plateau_deg));
  a.cranial_cruciate_tibia = scale * (turn * Vector3(7, 0, 2));
  a.caudal_cruciate_tibia = scale * (turn * Vector3(-11, 0, -7));
  a.secondary_tibia = scale * (turn * Vector3(0, 0, -5));
}

void set_femur(Anatomy &a, double scale, const AnatomyVariation &variation)
{
  a.condyle_radius_mm = 13 * scale;
  a.femur_length_mm = 195 * scale;
  a.cranial_cruciate_femur = scale * Vector3(-1, -4, 1);
  a.caudal_cruciate_femur = scale * Vector3(3, 4, 1);
  a.trochlea_centre = scale * Vector3(9, 0, 3);
  a.trochlea_radius_mm = trochlea_radius_mm * scale;
  a.gastrocnemius_origin = scale * (Vector3(-14, 0, 14) + variation.gastrocnemius_shift_mm * caudal_in_femur());
  a.quadriceps_origin = scale * Vector3(12, 0, 150);
  a.hamstrings_origin = scale * Vector3(-60, 0, 190);
}

/// From the axis of the groove to the patella, in the reduced joint, with the tendon as measured.
double measured_groove_mm(const Anatomy &a, const JointParameters &joint)
{
  const double plateau = joint.tendon_plateau_deg ? radians(*joint.tendon_plateau_deg) : a.plateau_angle_rad;
  const double line = pi - radians(*joint.tendon_angle_deg) + plateau; // of the tendon against x
  const Vector3 patella = a.tendon_insertion + a.tendon_length_mm * Vector3(std::cos(line), 0, std::sin(line));
  const Vector3 normal(-std::sin(plateau), 0, std::cos(plateau));
  const Vector3 groove =
      a.condyle_radius_mm * normal + femur_rotation(radians(joint.tendon_angle_stifle_deg)) * a.trochlea_centre;
  return (patella - groove).norm();
}

/// After set_femur.
void set_tendon(Anatomy &a, const Scenario &scenario, double scale, const AnatomyVariation &variation)
{
  a.tendon_insertion = Vector3(scenario.tibia.tuberosity_cranial_mm.value_or(31 * scale), 0,
                               scenario.tibia.tuberosity_proximal_mm.value_or(-14 * scale));
  a.tendon_length_mm = scenario.joint.tendon_length_mm.value_or(40 * scale);
  if (scenario.joint.tendon_angle_deg)
    a.trochlea_radius_mm = measured_groove_mm(a, scenario.joint);
  a.tendon_insertion.x() += scale * variation.tendon_insertion_shift_mm;
  a.tendon_length_mm += scale * variation.tendon_length_shift_mm;
}

void set_foot_and_masses(Anatomy &a, double mass_kg, double scale, const AnatomyVariation &variation)
{
  a.foot_length_mm = 125 * scale;
  a.calcaneus_tip = variation.calcaneus_factor * scale * Vector3(-20, 0, 34);
  a.foot_centre_of_mass = a.calcaneus_tip + 0.514 * (Vector3(0, 0, -a.foot_length_mm) - a.calcaneus_tip);
  a.body_weight_n = mass_kg * gravity_n_per_kg;
  a.thigh_mass_kg = 0.0605 * mass_kg * variation.segment_mass_factor;
  a.crus_mass_kg = 0.0141 * mass_kg * variation.segment_mass_factor;
  a.foot_mass_kg = 0.0070 * mass_kg * variation.segment_mass_factor;
  a.thigh_centre_fraction = 0.42;
}

/// Distance of the two ends in the sagittal plane, condyles bearing weight on the plateau at the intercondylar point.
double reference_distance_mm(const Anatomy &a, double scale, const Vector3 &on_tibia, const Vector3 &on_femur)
{
  const Vector3 centre = (a.condyle_radius_mm - scale * reference_indentation_mm) * plateau_normal(a);
  const Vector3 line = centre + femur_rotation(radians(reference_stifle_deg)) * on_femur - on_tibia;
  return std::hypot(line.x(), line.z());
}

/// Rest lengths of the bundles of the three-dimensional joint from their strain in the reference pose.
void set_rest_lengths(Anatomy &a)
{
  JointParts &j = a.joint;
  const Vector3 centre = (j.condyles[medial].sagittal_radius_mm - j.reference_indentation_mm) * plateau_normal(a);
  const Matrix3 turn = femur_rotation(j.reference_stifle_rad);
  for (Bundle &b : j.bundles)
    b.rest_mm = (centre + turn * b.femur - b.tibia).norm() / (1 + b.reference_strain);
}

/// The same changes for the parts of the three-dimensional joint.
void vary_joint_parts(JointParts &j, double scale, const AnatomyVariation &variation)
{
  for (Vector3 &origin : j.fabella)
    origin += scale * variation.gastrocnemius_shift_mm * caudal_in_femur();
  for (Meniscus &m : j.menisci)
    m.hoop_modulus_mpa *= variation.hoop_modulus_factor;
  for (Bundle &b : j.bundles)
  {
    if (b.group == "cruciate_cranial" || b.group == "cruciate_caudal")
    {
      b.stiffness_n_per_mm *= variation.cruciate_stiffness_factor;
      b.reference_strain *= variation.cruciate_pre_strain_factor;
    }
    else if (b.group == "capsule")
      b.reference_strain -= variation.capsule_slack_shift;
    else
      b.stiffness_n_per_mm *= variation.collateral_stiffness_factor;
  }
}

void set_cruciates(Anatomy &a, double scale, const AnatomyVariation &variation)
{
  // modulus * area / length grows with size
  a.cranial_cruciate_stiffness_n_per_mm = 200 * scale * variation.cruciate_stiffness_factor;
  a.caudal_cruciate_stiffness_n_per_mm = 220 * scale * variation.cruciate_stiffness_factor;
  a.cruciate_toe_strain = 0.03;
  const double strained = variation.cruciate_pre_strain_factor;
  a.cranial_cruciate_rest_mm =
      reference_distance_mm(a, scale, a.cranial_cruciate_tibia, a.cranial_cruciate_femur) / (1 + strained * cranial_pre_strain);
  a.caudal_cruciate_rest_mm =
      reference_distance_mm(a, scale, a.caudal_cruciate_tibia, a.caudal_cruciate_femur) / (1 + strained * caudal_pre_strain);
}
} // namespace

Vector3 plateau_chord(const Anatomy &anatomy)
{
  return {std::cos(anatomy.plateau_angle_rad), 0, std::sin(anatomy.plateau_angle_rad)};
}

Vector3 plateau_normal(const Anatomy &anatomy)
{
  return {-std::sin(anatomy.plateau_angle_rad), 0, std::cos(anatomy.plateau_angle_rad)};
}

Matrix3 femur_rotation(double stifle_angle_rad) { return rotation_about_y(pi - stifle_angle_rad); }

Anatomy make_anatomy(const Scenario &scenario) { return make_anatomy(scenario, scenario.variation); }

Anatomy make_anatomy(const Scenario &scenario, const AnatomyVariation &variation)
{
  Anatomy a;
  const double scale = scenario.tibia.length_mm / reference_length_mm;
  a.tibia_length_mm = scenario.tibia.length_mm;
  a.plateau_angle_rad = radians(scenario.tibia.plateau_angle_deg);
  set_tibia(a, scenario.tibia, scale);
  set_femur(a, scale, variation);
  set_tendon(a, scenario, scale, variation);
  set_foot_and_masses(a, scenario.dog.mass_kg, scale, variation);
  set_cruciates(a, scale, variation);
  a.joint = make_joint_parts(scenario);
  vary_joint_parts(a.joint, scale, variation);
  set_rest_lengths(a);
  return a;
}

std::optional<std::string> tendon_problem(const Scenario &scenario)
{
  if (!scenario.joint.tendon_angle_deg)
    return {};
  const double radius = make_anatomy(scenario).trochlea_radius_mm;
  const double usual = trochlea_radius_mm * scenario.tibia.length_mm / reference_length_mm;
  if (radius >= least_groove * usual && radius <= most_groove * usual)
    return {};
  return fmt::format("patella {:.1f} mm from the axis of its groove, not {:.1f} to {:.1f}", radius,
                     least_groove * usual, most_groove * usual);
}
} // namespace stifle
