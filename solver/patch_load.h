// solver/patch_load.h - a force and a moment spread over a patch of skin: traction t(x) = a + b x (x - centre), exact resultants
//   units  N, N mm, mm; the integrals are exact for straight facets, so the nodal forces have the resultants to rounding
//   errors Error naming the load when the surface is missing or empty
#pragma once
#include "models/joint/joint.h"
#include "solver/elasticity.h"

namespace stifle::solver
{
constexpr double   patch_radius_mm = 5; ///< about the skin point nearest to the landmark; grows by a quarter until
constexpr unsigned patch_faces     = 8; ///< the patch has this many faces

struct Patch
{
  std::vector<mesh::Triangle> triangles;
  double  area_mm2 = 0;
  Vector3 centre   = Vector3::Zero();        ///< of area
  Matrix3 second_moment = Matrix3::Zero();   ///< integral of (r.r I - r r^T) dA about the centre, mm^4
};
Patch make_patch(const mesh::TetMesh &mesh, std::vector<mesh::Triangle> triangles);
/// Where the construct is held: `talar`, else `rig_support`. Error when the mesh has neither.
const std::vector<mesh::Triangle> &support_of(const mesh::TetMesh &mesh);
/// The patch of a load. A surface of the mesh with the load's own name (a bench rig has such) is taken whole. Else contact_* on `plateau`, other loads on the plateau or the skin of their segment, whichever
/// is nearer (the nearest point stands for landmarks inside the bone). A whole bone has one skin for both segments.
Patch landmark_patch(const mesh::TetMesh &mesh, const PointForce &load);
/// Adds nodal forces with this resultant force and this moment about `about`.
void add_resultant(const Elasticity &elasticity, const Patch &patch, const Vector3 &force_n, const Vector3 &moment_nmm,
                   const Vector3 &about, Vector &nodal);
/// Nodal forces of landmark loads, each on its patch; a load without force and moment is left out.
Vector landmark_forces(const Elasticity &elasticity, const std::vector<PointForce> &loads);
struct Resultant
{
  Vector3 force_n = Vector3::Zero(), moment_nmm = Vector3::Zero();
};
Resultant resultant_of(const Elasticity &elasticity, const Vector &nodal, const Vector3 &about);
/// Mean displacement and mean rotation (rad) of a patch: the six support functionals, work-conjugate to add_resultant.
struct MeanMotion
{
  Vector3 displacement = Vector3::Zero(), rotation = Vector3::Zero();
};
MeanMotion mean_motion(const Elasticity &elasticity, const Patch &patch, const Vector &u);
/// Afterwards both are zero.
void remove_mean_motion(const Elasticity &elasticity, const Patch &patch, Eigen::Ref<Vector> u);
} // namespace stifle::solver
