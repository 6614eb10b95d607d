// viz/construct_scene.h - surfaces of one field file, ready to be put into a view
//   units  mm, MPa; frame of the file (a left limb is mirrored)
//   limits the whole surface is drawn with displacements enlarged by one factor; bone further than `bone_below_mm` under the
//          plate is left out (the picture says so), so that the plate fills the view
#pragma once
#include "solver/results.h"
#include "viz/colour.h"
#include <vtkSmartPointer.h>

class vtkActor;
class vtkRenderer;

namespace stifle::viz
{
constexpr double bone_below_mm = 22;

struct ConstructScene
{
  std::vector<vtkSmartPointer<vtkActor>> actors;
  Vector3 low = Vector3::Zero(), high = Vector3::Zero(); ///< box of what is drawn, deformed
  double deformation_scale = 1, top_mpa = 1;
  double peak_mpa = 0;  ///< largest value drawn in colour
  bool metal = false;   ///< false: no plate in the file, the bone is coloured
  bool cropped = false; ///< distal bone left out
};

/// Zero for `deformation_scale` or `top_mpa` lets the scene choose.
ConstructScene build_scene(const FieldData &field, double deformation_scale, double top_mpa);

/// Undeformed, each metal part in one colour (by its index in FieldData::part_names; bone is translucent whatever its entry).
ConstructScene build_part_scene(const FieldData &field, const std::vector<Colour> &colours);
} // namespace stifle::viz
