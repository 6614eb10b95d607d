// mesh/step_plate.h - a user's plate as a STEP file: read, judged, its holes found by their cylinders
//   frame   that of the file, mm (Gmsh converts the unit that the file declares)
//   holes   cylinder faces of one axis and radius that close all round, with no material on the axis; a fillet or a slot does
//           not close, a conical or threaded hole has no cylinder and is not found
//   errors  InputError: no file, no STEP, not one solid, a size that no plate has (the likely unit is named)
//   limits  needs an open Gmsh session with an empty model; leaves the solid there
#pragma once
#include "models/core/units.h"
#include <string>
#include <vector>

namespace stifle::mesh
{
struct StepHole
{
  Vector3 middle, axis; ///< half way along the cylinder; unit length, its largest component above 0
  double diameter_mm, length_mm;
  double full_low_mm, full_high_mm; ///< along the axis from `middle`: between them the cylinder is there all round
};

struct StepPlate
{
  int solid = 0; ///< volume tag
  double volume_mm3 = 0;
  Vector3 low, high;           ///< box
  std::vector<StepHole> holes; ///< along the longest side of the box
};

StepPlate read_step_plate(const std::string &file);
/// "" for a longest side of 15 to 300 mm, else what the number looks like ("looks like inches or centimetres").
std::string unit_doubt(double longest_mm);
} // namespace stifle::mesh
