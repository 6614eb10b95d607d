// models/core/anatomy_variation.h - how one dog differs from the measures of models/parts/anatomy.h
//   units   lengths in mm of a 200 mm tibia (they scale with it); the defaults change nothing
#pragma once

namespace stifle
{
struct AnatomyVariation
{
  double tendon_insertion_shift_mm = 0; ///< of the tuberosity, cranial
  double tendon_length_shift_mm = 0;    ///< longer
  double gastrocnemius_shift_mm = 0;    ///< of its origin, caudal in the tibia frame at stifle 140: a longer lever at the stifle
  double calcaneus_factor = 1;          ///< on the place of the calcaneus tip against the hock: the lever there
  double cruciate_stiffness_factor = 1; ///< on both cruciates
  double cruciate_pre_strain_factor = 1; ///< on both pre-strains, which set the rest lengths
  double capsule_slack_shift = 0;         ///< of every capsule bundle of the 3-D joint, strain: looser
  double collateral_stiffness_factor = 1; ///< of the 3-D joint
  double hoop_modulus_factor = 1;         ///< of both menisci of the 3-D joint
  double segment_mass_factor = 1;        ///< on thigh, crus and foot; the mass of the dog stays
};
} // namespace stifle
