// solver/construct_model.h - one slope of the construct: factor once, then many load states on the condensed cut
//   recipe  u_B = u_A + R w at the vertex pairs of the cut (mid-edges: the mean), w last in the ordering (METIS on the node graph),
//           trailing block of the Cholesky factor = condensed cut, contact at face quadrature points in compliance form
//           limits: friction in one load step from the unloaded state; contact stiffness is a penalty
//   plate   where it presses (mesh.plate_contact) its faces are pairs like those of the cut, plain heads have six unknowns each
//           (plain_heads.h). Load path: tightening with the fresh cut, locking, then the limb. Callus grows in the tightened shape:
//           it is free of stress there. A bonded cut was bonded before tightening
//   support mean displacement and mean rotation of the talar patch are zero (six equations); the reaction is reported
#pragma once
#include "mesh/construct.h"
#include "models/joint/joint.h"
#include "models/parts/material.h"
#include "solver/elasticity.h"
#include "solver/results.h"
#include <map>

namespace stifle::solver
{
/// State of the cut. Stiffness per area in N/mm^3; callus acts from the unloaded shape, contact only in compression.
struct CutLaw
{
  bool   bonded           = false;
  double friction         = 0.4;
  double contact_stiffness = 1e4;
  double gap_mm = 0; ///< between the faces of the cut in the unloaded shape; 0: they touch
  double callus_normal = 0, callus_tangential = 0;
  double plate_friction = 0.3; ///< between bone and a plate that presses
};

struct ConstructMaterials
{
  Material cortex, cancellous, plate, screw;
  double   thread_depth_mm = 0.3; ///< thread layer: stiffness per area = local bone modulus / thread depth
  std::map<std::string, double> thread_depth_of; ///< by name of the screw, where it has a thread of its own; ConstructModel fills it
  double thread_depth(const std::string &screw) const;
  bool     orthotropic_cortex = false; ///< by cortex.orthotropic (bone_law.h)
  std::optional<std::array<double, 2>> cancellous_levels_mm; ///< modulus by cancellous.levels at these depths; empty: uniform
  bool     bonded_threads  = false; ///< ties the threads (only for the comparison with another program)
};

/// With the thread depths of the screws that the mesh knows.
ConstructMaterials with_own_threads(ConstructMaterials materials, const mesh::ConstructMesh &construct);
/// What the scenario names, with the two rows of bone; threads as springs.
ConstructMaterials construct_materials(const Scenario &scenario);

/// What the scenario says about the cut, with the callus of that week (`callus_shift`: of its modulus, models/healing/callus.h).
CutLaw cut_law(const Scenario &scenario, double week, double callus_shift = 0);

class ConstructModel
{
public:
  /// Assembles and factors. `construct` is borrowed. Uses one BLAS thread. Throws Error: part without material, no surface
  /// `talar`, faces of the cut that do not coincide, a part that floats.
  ConstructModel(const mesh::ConstructMesh &construct, const Anatomy &anatomy, const Levelling &levelling,
                 const ConstructMaterials &materials);
  ~ConstructModel();

  std::size_t n_dofs() const;
  struct Timing { std::string name; double seconds; };
  const std::vector<Timing> &timing() const; ///< assemble, analyse, factor, condense

  /// One load state. The contact starts from the previous state solved. A state that does not converge has converged = false.
  ConstructState solve(const std::vector<PointForce> &forces, const CutLaw &law);
  /// Faces of the cut in the last state solved; none without a cut or when it is bonded.
  std::vector<CutMapFace> cut_map() const;
  /// Fields of the last state solved.
  FieldData field() const;
  /// Nodal displacement (3 per node) and nodal forces of the last state; the elasticity they live on.
  const Vector     &displacement() const;
  const Vector     &nodal_force() const; ///< applied + support + thread + cut, on the elements at each node: equals K u
  const Elasticity &elasticity() const;
  const RecoveredStress &stress() const; ///< of the last state, with the error of each cell

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};
} // namespace stifle::solver
