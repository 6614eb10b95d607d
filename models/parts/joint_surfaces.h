// models/parts/joint_surfaces.h - the user's two bones for the 3-D joint
//   frame   tibia: tibia frame; femur: femur frame (models/parts/anatomy.h); right limb, mm
//   errors  InputError naming key and file; problems of both files come together
#pragma once
#include "models/core/scenario.h"
#include "models/parts/surface.h"
#include <optional>

namespace stifle
{
struct JointSurfaces
{
  TriangleSurface tibia, femur;
};
/// Nothing when the scenario gives no surfaces. Reads large files: call once and keep the result.
std::optional<JointSurfaces> read_joint_surfaces(const Scenario &scenario);
/// What the bones of this dog look like (limits: assumptions).
SurfaceExpectations tibia_expectations(const Scenario &scenario);
SurfaceExpectations femur_expectations(const Scenario &scenario);
} // namespace stifle
