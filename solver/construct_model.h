// solver/construct_model.h - one slope of the construct: factor once, then many load states on the condensed cut
//   recipe  u_B = u_A + R w at the vertex pairs of the cut (mid-edges: the mean), w last in the ordering (METIS on the node graph),
//           trailing block of the Cholesky factor = condensed cut, contact at face quadrature points in compliance form
//           limits: contact stiffness is a penalty
//   blocks  states of one law are solved together: forward and back substitution with several right-hand sides, chains of contact
//           side by side, stress of several states at once. No digit depends on the number of threads
//   friction follows a chain of states (the instants of a stance, each from what the one before has slid): see cut_contact.h
//   plate   where it presses (mesh.plate_contact) its faces are pairs like those of the cut, plain heads have six unknowns each
//           (plain_heads.h)
//   support mean displacement and mean rotation of the talar patch are zero (six equations); the reaction is reported
#pragma once
#include "mesh/construct.h"
#include "models/joint/joint.h"
#include "solver/construct_materials.h"
#include "solver/results.h"

namespace stifle::solver
{
/// One state of a block. `after`: index in the block (below its own) of the state whose slides it starts from, -1: the unloaded
/// (tightened) shape. A state that did not converge is skipped: the one before it counts.
struct LoadStep
{
  std::vector<PointForce> forces;
  int                     after = -1;
};

/// all: every part, as tables and fields want it. learn: the same, and what may become a peak is marked. candidates: only there
/// (block_stress.h), for margins of states near those learnt; where a peak may have moved, all parts again.
enum class StressAt
{
  all,
  learn,
  candidates
};

struct BlockOptions
{
  int      threads = 1;
  StressAt stress  = StressAt::all;
};

/// Who solves K u = f: a Cholesky factor with the condensed cut, or conjugate gradients with algebraic multigrid (cg_states.h), which
/// need far less memory but solve every state anew. automatic: cg above cg_above_unknowns, where it can.
enum class SolverKind
{
  direct,
  cg,
  automatic
};
constexpr std::size_t cg_above_unknowns = 600000;

class ConstructModel
{
public:
  /// Assembles and factors (cg: nothing yet), the latter with so many threads. `construct` is borrowed. Throws Error: part without material, no surface
  /// `talar`, faces of the cut that do not coincide, a part that floats; cg:
  /// plain heads, a plate that presses, tied threads.
  ConstructModel(const mesh::ConstructMesh &construct, const Anatomy &anatomy, const Levelling &levelling,
                 const ConstructMaterials &materials, SolverKind solver = SolverKind::direct, int threads = 1);
  ~ConstructModel();

  std::size_t n_dofs() const;
  bool        iterative() const; ///< solved by conjugate gradients
  struct Timing { std::string name; double seconds; };
  const std::vector<Timing> &timing() const; ///< assemble, analyse, factor, condense

  /// Load states of one law of the cut. The search for the contact starts from a state solved before whose load was most alike. A
  /// state that does not converge has converged = false. Throws Error: a load that is not finite.
  std::vector<ConstructState> solve_block(const std::vector<LoadStep> &block, const CutLaw &law, const BlockOptions &options = {});
  /// A single one, from the unloaded shape.
  ConstructState solve(const std::vector<PointForce> &forces, const CutLaw &law);
  /// States whose peaks had moved away from the candidates.
  std::size_t n_moved() const;
  /// Wall seconds of all states so far: loads, contact, displacement, stress.
  const std::vector<Timing> &state_timing() const;
  /// Faces of the cut in a state of the last block; none without a cut or when it is bonded.
  std::vector<CutMapFace> cut_map(std::size_t state) const;
  /// Below: of the last state of the last block. Fields:
  FieldData field() const;
  /// Nodal displacement (3 per node) and nodal forces; the elasticity they live on.
  const Vector     &displacement() const;
  const Vector     &nodal_force() const; ///< applied + support + thread + cut, on the elements at each node: equals K u
  const Elasticity &elasticity() const;
  const RecoveredStress &stress() const; ///< with the error of each cell

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};
} // namespace stifle::solver
