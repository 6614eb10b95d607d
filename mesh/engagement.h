// mesh/engagement.h - how much bone each screw holds in, by kind of bone
//   in      a meshed construct with thread faces;   out  mm along the axis, in the order of ConstructMesh::screws
//   law     axial extent of the thread faces, shared by the area of the faces on cortex and on cancellous bone (faces across the
//           axis, at the end of a screw, do not count); exact for a straight core in contiguous bone, whatever the facets
//   errors  none: a screw without thread faces holds 0 mm
#pragma once
#include "mesh/construct.h"

namespace stifle::mesh
{
struct ScrewEngagement
{
  std::string screw;
  double cortex_mm = 0, cancellous_mm = 0;
  bool proximal = false;
};
std::vector<ScrewEngagement> screw_engagement(const ConstructMesh &construct);
} // namespace stifle::mesh
