// solver/construct_system.h - stiffness of one construct, factored once, with the condensed cut
//   unknowns  nodes of the mesh; the slot of a distal cut node holds w of its pair; w is eliminated last
//   support   six springs at three far nodes carry nothing, because the caller's loads balance; they only fix the rigid motion
//   threads   springs between screw and bone faces (modulus of the bone / thread depth, all directions), or tied nodes
//   k0        stiffness on w when one segment floats without plate (0 otherwise); taken out again in the dense part
#pragma once
#include "solver/cholmod_factor.h"
#include "solver/construct_model.h"
#include "solver/cut_faces.h"
#include "solver/block_matrix.h"

namespace stifle::solver
{
class ConstructSystem
{
public:
  ConstructSystem(const Elasticity &elasticity, const CutFaces &cut, const ConstructMaterials &materials,
                  const std::vector<IsotropicMaterial> &part_materials);
  const std::vector<ConstructModel::Timing> &timing() const { return timing_; }
  double                                     k0() const { return k0_; }
  double factor_nonzeros() const { return factor_->nonzeros(); }

  /// L^-1 of the nodal forces (per node of the mesh): the start of each state.
  Vector condense(const Vector &nodal_force) const;
  /// Load on w of that state: g in (S + callus) w + contact = g.
  Vector cut_load(const Vector &condensed) const;
  /// Nodal displacement of all nodes for the given w.
  Vector expand(Vector condensed, const Vector &w) const;
  /// (S + k0 + callus)^-1, kept until another callus is asked for.
  const Eigen::MatrixXd &compliance(const CutLaw &law);
  /// (S + callus + contact stiffness in every direction)^-1, kept until another callus or stiffness is asked for.
  const Eigen::MatrixXd &stuck_compliance(const CutLaw &law);
  /// Forces of the thread layer on the nodes (on the screw and, opposite, on the bone); for tied threads from the elements.
  void add_thread_force(const Vector &u, Vector &nodal) const;

private:
  std::vector<NodeTarget> make_targets() const;
  void assemble(BlockMatrix &matrix) const;
  void factor(BlockMatrix &matrix);
  SparseMatrix without_empty_slots(SparseMatrix full, const std::vector<char> &used);
  void         find_cut_block();
  bool floats() const;
  Eigen::MatrixXd condensed_stiffness() const; ///< S + k0 in the order of w
  struct ThreadFace
  {
    std::array<unsigned, 12> nodes; ///< screw, then bone
    double                   stiffness_area;
  };
  const Elasticity                  &elasticity_;
  const CutFaces                    &cut_;
  bool                               bonded_threads_;
  double                             k0_ = 0, pin_stiffness_;
  std::vector<ThreadFace>            threads_;
  std::vector<NodeTarget>            targets_;
  std::unique_ptr<CholmodFactor>     factor_;
  std::vector<int>                   w_slot_; ///< position in the trailing block -> entry of w
  std::vector<int>                   compact_, unknown_of_; ///< slot unknown -> unknown of the factor and back
  Eigen::MatrixXd                    lower_, compliance_, stuck_compliance_;
  std::array<double, 2>              callus_{{-1, -1}};
  std::array<double, 3>              stuck_{{-1, -1, -1}}; ///< callus and contact stiffness inside stuck_compliance_
  std::vector<ConstructModel::Timing> timing_;
};
} // namespace stifle::solver
