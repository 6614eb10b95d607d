// mesh/resected_tibia.h - the parametric tibia sawn off parallel to the plateau, with the foot of a flat punch on the open face
//   frame   unoperated tibia; the face lies `level_mm` under the plateau's chord plane
//   parts   cortex_distal, cancellous_distal (as of the whole bone); surface `punch`: the faces under the punch
//   errors  Error when the punch leaves the cancellous face or Gmsh fails
//   limits  Gmsh keeps one global session: call from one thread at a time
#pragma once
#include "mesh/tet_mesh.h"
#include "models/parts/anatomy.h"

namespace stifle::mesh
{
struct Punch
{
  double chord_mm = 0, medial_mm = 0; ///< centre: along the plateau chord from under the intercondylar point (cranial > 0), and y
  double radius_mm = 2.5;
};
TetMesh resected_tibia(const Scenario &scenario, const Anatomy &anatomy, double level_mm, const Punch &punch);
} // namespace stifle::mesh
