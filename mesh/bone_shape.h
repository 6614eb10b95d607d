// mesh/bone_shape.h - the parametric tibia: proportions in one table, lofted by Gmsh's CAD kernel
//   frame   unoperated tibia, mm
//   shape   sections across the functional axis, each a smooth closed curve (two B-splines, medial and lateral, alike),
//           lofted; the top is cut flat by the plateau chord plane. The convexity of the plateau is a matter of the
//           joint tier (plateau_radius_mm); the mesh has the chord plane.
//   core    the same sections moved in by the cortex: closed under the plateau and above the hock; cancellous bone fills
//           the canal too (its modulus is about a hundredth of cortex, so the shaft stays a tube)
//   source  every proportion below: assumption (round numbers for a 200 mm tibia), scaled with the tibia length
#pragma once
#include "models/parts/anatomy.h"

namespace stifle::mesh
{
/// One section of the skin at height z. The medial half runs through the control points
/// (caudal, 0) (caudal, w/2) (flat_caudal, w) (middle, w) (flat_cranial, w) (cranial, ridge) (cranial, 0).
struct BoneSection
{
  double z, caudal, cranial, half_width, flat_caudal, flat_cranial, ridge;
};

/// Control points of the two halves of a section, from caudal to cranial; both start and end at the same points, y = 0.
struct SectionCurve
{
  std::vector<Vector3> medial, lateral;
};

/// Sections from above the plateau to the hock; the one at the tendon insertion carries the tip of the crest.
std::vector<BoneSection> bone_sections(const Anatomy &anatomy);
/// Sections of the core: `bone_sections` moved in by `cortex_mm`, ending that much above the hock.
std::vector<BoneSection> core_sections(const Anatomy &anatomy, double cortex_mm);

/// Volume tag of the lofted solid in the open Gmsh session. Throws Error when the loft fails.
int loft(const std::vector<BoneSection> &sections);
int loft(const std::vector<SectionCurve> &sections);
/// Cuts `solid` by the plane parallel to the plateau chord, `below_mm` under it.
int trim_plateau(int solid, const Anatomy &anatomy, double below_mm);
} // namespace stifle::mesh
