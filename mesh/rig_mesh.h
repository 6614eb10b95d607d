// mesh/rig_mesh.h - specimens of the bench rigs, and the faces through which a rig loads them
//   frame   as the tibia's: z along plate and tubes (proximal up), y out of the plate. The proximal end of the proximal tube lies at
//           z = 0, the middle of the plate at middle_z; of the plate alone z = 0 is its middle
//   parts   tube_proximal, tube_distal (components 0 and 1), plate and screw_N; surfaces as split_mesh.h: `plateau` and `talar` are
//           the ends of the tubes. No pairs of the cut: the tubes stand apart and contact between them is not seen
//   errors  Error naming the key: a hole outside the plate, rollers off the specimen or over a gap, a screw that meets the gap
//   limits  straight plate of even width, locking screws; Gmsh keeps one global session
#pragma once
#include "mesh/construct.h"
#include <functional>

namespace stifle::mesh
{
struct RigSpecimen
{
  ConstructMesh construct;
  Anatomy anatomy;     ///< of the scenario; for tubes and plate hock_centre is the distal end, the plateau flat at z = 0
  Levelling levelling; ///< no cut for tubes and plate
  double middle_z = 0; ///< of the straight plate
};
/// rig.specimen plate or tubes.
RigSpecimen mesh_straight_specimen(const Scenario &scenario);
/// Its refusals without the mesh.
void check_straight_specimen(const Scenario &scenario);

/// Adds a surface of the boundary faces of `base` that `take` chooses by centroid and outward normal. Error when there is none.
void add_surface(TetMesh &mesh, const std::string &name, const std::vector<std::string> &base,
                 const std::function<bool(const Vector3 &, const Vector3 &)> &take);
} // namespace stifle::mesh
