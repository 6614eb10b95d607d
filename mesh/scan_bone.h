// mesh/scan_bone.h - the bone of a scan as curves for the loft, and how near the loft comes to the scan
//   planes  21 across the shaft, closer under the plateau and at the crest; from square to the functional axis at 58 mm below the
//           plateau (of a 200 mm tibia) they turn until the uppermost is parallel to the plateau, 1 mm under it
//   ends    above the uppermost plane the curves go straight on and the plateau plane cuts them flat, as in the parametric bone;
//           below the lowest single curve they go straight on to the height of the hock: malleoli and cochlea are left out
//   core    inside of tibia.inner_surface in the same planes, or tibia.cortex_mm inside the skin, in those planes
//   errors  Error with the place: more than one curve, no room for a core, a core nearer than 0.3 mm to the skin; a scan farther
//           than 2.5 mm from the loft (assumption), judged from 1 mm under the plateau down to the lowest section
#pragma once
#include "mesh/scan_section.h"
#include "models/parts/tibia_scan.h"

namespace stifle::mesh
{
struct ScanShape
{
  std::vector<SectionCurve> outer, core;
  double lowest_mm = 0; ///< z of the lowest section of the skin
};
ScanShape scan_shape(const TibiaScan &scan, const Scenario &scenario, const Anatomy &anatomy);

struct ScanDistance
{
  std::size_t judged = 0, left_out = 0; ///< points of the scan
  double mean_mm = 0, largest_mm = 0;
  Vector3 place = Vector3::Zero(); ///< of the largest
};
/// Of the points of the scan from the triangles of the loft.
ScanDistance scan_distance(const TriangleSurface &scan, const std::vector<std::array<Vector3, 3>> &loft, const ScanShape &shape,
                           const Anatomy &anatomy);
} // namespace stifle::mesh
