#include "models/parts/anatomy.h"

namespace stifle
{
std::vector<AssumptionRow> anatomy_sources()
{
  const std::string sheet = "lengths of a 30 kg dog, joint.md section 6c";
  return {
      {"anatomy.plateau_radius_mm", "abstract", "26: medial plateau 25.9 mm, 10.3389/fvets.2025.1441329; used for both sides"},
      {"anatomy.plateau_half_length_mm", "assumption", "14.5: plateau about 29 mm long in a large dog"},
      {"anatomy.condyle_offset_mm", "assumption", "10: contact centres 20 mm apart"},
      {"anatomy.condyle_width_mm", "assumption", "11: width of each contact strip"},
      {"anatomy.condyle_radius_mm", "assumption", "13: circle through the caudal and distal condyle"},
      {"anatomy.tendon_insertion", "assumption", "(31, 0, -14) unless tibia.tuberosity_* is given: tuberosity of a 200 mm tibia; not placed to fit a tendon angle"},
      {"anatomy.tendon_length_mm", "memory", "40 (35-45 at 30 kg) unless joint.tendon_length_mm is given, joint.md section 4"},
      {"anatomy.trochlea_centre", "assumption", "(9, 0, 3): distal femur about 40 mm deep; not placed to fit a tendon angle"},
      {"anatomy.trochlea_radius_mm", "assumption", "22: groove about 14 mm plus 8 mm of patella to the tendon; from joint.tendon_angle_deg where that is given"},
      {"anatomy.quadriceps_origin", "assumption", "(12, 0, 150): one line along the front of the femur"},
      {"anatomy.gastrocnemius_origin", "assumption",
       "(-14, 0, 14): fabellae behind the femur; lever about 22 mm (18-28, memory)"},
      {"anatomy.hamstrings_tibia", "assumption", "(5, 0, -45): lever 30-45 mm at the stifle (memory)"},
      {"anatomy.hamstrings_origin", "assumption", "(-60, 0, 190): ischium behind the hip"},
      {"anatomy.calcanean_origin", "assumption", "(-9, 0, -60): flexors on the caudal proximal tibia, distal of the cut"},
      {"anatomy.calcaneus_tip", "derived",
       "(-20, 0, 34): lever 37 mm at hock 140 and 160 mm to the toe joint, " + sheet + " (memory)"},
      {"anatomy.foot_length_mm", "memory", "125 (120-130), " + sheet},
      {"anatomy.femur_length_mm", "memory", "195 (190-200), " + sheet},
      {"anatomy.cranial_cruciate_tibia", "assumption",
       "(7, 0, 2) at plateau angle 25: cranial part of the plateau; turns with it"},
      {"anatomy.cranial_cruciate_femur", "assumption", "(-1, -4, 1): length 17 mm (15-20, memory), nearly isometric"},
      {"anatomy.caudal_cruciate_tibia", "assumption", "(-11, 0, -7) at plateau angle 25: caudal notch; turns with the plateau"},
      {"anatomy.caudal_cruciate_femur", "assumption", "(3, 4, 1): cranial part of the fossa"},
      {"anatomy.secondary_tibia", "assumption", "(0, 0, -5): one spring for collaterals, capsule and meniscal rim"},
      {"anatomy.cranial_cruciate_stiffness_n_per_mm", "memory", "200 (150-250 at 30 kg), joint.md section 4"},
      {"anatomy.caudal_cruciate_stiffness_n_per_mm", "memory", "220: area 1.0-1.5 x cranial, joint.md section 4"},
      {"anatomy.cruciate_pre_strain", "memory", "cranial 0.02, caudal 0.01 at stifle 140 (1-3 % at 135-150), joint.md section 4"},
      {"anatomy.reference_indentation_mm", "assumption", "0.2: cartilage under standing load, in the pose of the pre-strain"},
      {"joint.layer_poisson_ratio", "assumption",
       "0.45: quick loading, nearly incompressible; turns the modulus of the layer into that of a bonded thin layer"},
      {"joint.secondary_toe_mm", "assumption", "1: rounds the corner at the end of the slack"},
      {"anatomy.cruciate_toe_strain", "assumption", "0.03: toe region"},
      {"anatomy.masses", "second-hand",
       "0.0605, 0.0141, 0.0070 of body mass: Labrador CT, AJVR 2008;69:1188, alternatives.md section 6"},
      {"anatomy.centres_of_mass", "second-hand",
       "thigh 0.42, crus 0.31 from proximal: AJVR 2008;69:1188; foot 0.514 from the calcaneus: PLoS ONE 2018;13:e0206037"},
  };
}
} // namespace stifle
