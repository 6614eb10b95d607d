// solver/construct_system.h - stiffness of one construct, factored once, with the condensed cut
//   unknowns  nodes of the mesh; the slot of a distal cut node (and of a plate node that presses) holds w of its pair; two seat
//             nodes of a plain head hold its six; w, then heads, are eliminated last. Below, w means all of them
//   support   six springs at three far nodes carry nothing, because the caller's loads balance; they only fix the rigid motion
//   threads   springs between screw and bone faces (modulus of the bone / thread depth, all directions), or tied nodes
//   k0        stiffness on w of the cut when one segment floats without plate, and on the heads, which nothing may hold; taken out
//             again in the dense part
//   bonded    a bonded cut keeps its w at 0: their rows and columns of the compliance are empty
#pragma once
#include "solver/cholmod_factor.h"
#include "solver/construct_model.h"
#include "solver/cut_faces.h"
#include "solver/block_matrix.h"
#include "solver/support_springs.h"
#include <mutex>

namespace stifle::solver
{
class ConstructSystem
{
public:
  ConstructSystem(const Elasticity &elasticity, const CutFaces &cut, const PlainHeads &heads, const ConstructMaterials &materials,
                  const std::vector<IsotropicMaterial> &part_materials, int threads = 1);
  const std::vector<ConstructModel::Timing> &timing() const { return timing_; }
  Vector free_k0() const;  ///< per unknown; empty when none is needed
  Vector stuck_k0() const; ///< what of it is left in stuck_compliance
  Eigen::Index n_w() const { return static_cast<Eigen::Index>(3 * slots_.size()); }
  double factor_nonzeros() const { return factor_->nonzeros(); }

  /// L^-1 of the nodal forces (per node of the mesh): the start of each state. A column a state.
  Eigen::MatrixXd condense(const Eigen::MatrixXd &nodal_force) const;
  /// Load on w of that state: g in (S + callus) w + contact = g.
  Vector cut_load(const Vector &condensed) const;
  /// (S + k0) w.
  Vector times_w(const Vector &w) const;
  /// Nodal displacement of all nodes for the given w. A column a state.
  Eigen::MatrixXd expand(Eigen::MatrixXd condensed, const Eigen::MatrixXd &w) const;
  /// Makes those of the compliances below that the law before has needed, side by side on up to `threads` threads. Several threads may
  /// then ask for those of this law.
  void prepare(const CutLaw &law, int threads);
  /// (S + k0 + callus)^-1, kept until another callus is asked for.
  const Eigen::MatrixXd &compliance(const CutLaw &law);
  /// (S + k0 of heads + callus + contact stiffness in every direction)^-1, kept until another callus or stiffness is asked for. A
  /// cut with a gap has no contact stiffness in it.
  const Eigen::MatrixXd &stuck_compliance(const CutLaw &law);
  /// Forces of the thread layer on the nodes (on the screw and, opposite, on the bone); for tied threads from the elements.
  void add_thread_force(const Vector &u, Eigen::Ref<Vector> nodal) const;

private:
  std::vector<NodeTarget> make_targets() const;
  void assemble(BlockMatrix &matrix) const;
  std::vector<char>     used_nodes() const;
  std::vector<unsigned> elimination_order(const NodeGraph &graph) const;
  /// `waited_seconds`: for the order, after the assembly.
  void factor(BlockMatrix &matrix, const std::vector<unsigned> &order, double waited_seconds, int threads);
  SparseMatrix without_empty_slots(SparseMatrix full, const std::vector<char> &used);
  void         find_cut_block();
  bool floats() const;
  const Eigen::MatrixXd &condensed_stiffness(); ///< S + k0 in the order of w
  Eigen::MatrixXd with_faces(const Eigen::MatrixXd &faces); ///< that plus a stiffness on the w of faces
  Eigen::MatrixXd inverse(Eigen::MatrixXd s, bool bonded) const;
  void tie_heads(std::vector<NodeTarget> &targets) const;
  const Elasticity                  &elasticity_;
  const CutFaces                    &cut_;
  const PlainHeads                  &heads_;
  std::vector<unsigned>              slots_; ///< nodes whose slots hold w, in its order
  bool                               bonded_threads_;
  double                             k0_ = 0, pin_stiffness_;
  std::vector<ThreadFace>            threads_;
  std::vector<NodeTarget>            targets_;
  std::unique_ptr<CholmodFactor>     factor_;
  std::vector<int>                   w_slot_; ///< position in the trailing block -> entry of w
  std::vector<int>                   compact_, unknown_of_; ///< slot unknown -> unknown of the factor and back
  Eigen::MatrixXd                    lower_, stiffness_;
  /// An inverse and the law it is of: callus, contact stiffness inside, bonded, gap.
  struct Inverse
  {
    using Law = std::array<double, 5>;
    Eigen::MatrixXd matrix;
    Law             law{{-1, -1, -1, -1, -1}};
    std::mutex      making;
  };
  template <class Make> const Eigen::MatrixXd &kept(Inverse &inverse, const Inverse::Law &law, Make make);
  Inverse    free_, stuck_;
  std::mutex making_stiffness_;
  std::vector<ConstructModel::Timing> timing_;
};
} // namespace stifle::solver
