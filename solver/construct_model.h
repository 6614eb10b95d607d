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
#include "solver/construct_materials.h"
#include "solver/results.h"

namespace stifle::solver
{
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

  /// One load state. The contact starts from the last state solved, or from one of another callus whose load was more alike. A state
  /// that does not converge has converged = false.
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
