// mesh/user_plate.h - a user's plate (plate.file) carried from the frame of its file onto the bone by three landmarks
//   frame   unoperated tibia, mm, right limb, at the levelled slope; the landmarks on the bone are the same for every slope
//   errors  InputError: those of read_step_plate, no hole, landmarks that do not fit (limit 2 mm, assumption: two readings of a
//           millimetre each)
//   limits  needs an open Gmsh session with an empty model; leaves the placed solid there
#pragma once
#include "mesh/step_plate.h"
#include "models/core/scenario.h"
#include "models/parts/rigid_fit.h"

namespace stifle::mesh
{
struct UserPlate
{
  int solid = 0;                ///< volume tag
  RigidFit placement;           ///< of the file onto the bone, before the plate is seated
  std::vector<StepHole> holes;  ///< placed; axes towards medial
  std::vector<Vector3> surface; ///< points of its surface about a millimetre apart, placed
  double volume_mm3 = 0;
  double thickness_mm = 0; ///< of a slab of the same volume, surface and length
};

UserPlate read_user_plate(const Scenario &scenario);
/// Thickness of a slab of this volume, surface and length; the thinner of the two that there are.
double slab_thickness_mm(double volume_mm3, double surface_mm2, double length_mm);
} // namespace stifle::mesh
