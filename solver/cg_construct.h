// solver/cg_construct.h - stiffness of one construct for conjugate gradients: the counterpart of construct_system.h without a factor
//   unknowns  both sides of the cut have their own displacement (no w), so that the six rigid modes of the whole body are exact:
//             the preconditioner needs them. Mid-edges of the cut follow so that the jump is linear, as in the condensed cut; a
//             bonded cut ties its nodes
//   support   the same six springs as in ConstructSystem; loads balance, so they carry nothing
//   faces     a cut that touches has some stiffness of its faces in the matrix, for the preconditioner's sake: springs at first, later
//             what the contact has come to (lay)
//   errors    Error: plain heads, a plate that presses on the bone (direct solver only)
#pragma once
#include "solver/cg_amg.h"
#include "solver/construct_materials.h"
#include "solver/cut_faces.h"
#include "solver/support_springs.h"

namespace stifle::solver
{
class CgConstruct
{
public:
  struct Cut ///< how the cut stands in the matrix
  {
    bool   bonded  = true;
    double springs = 0; ///< N/mm^3 in every direction: what the faces have before lay()
  };
  CgConstruct(const Elasticity &elasticity, const CutFaces &cut, std::vector<ThreadFace> threads, const Cut &how,
              const CgOptions &options = {}); ///< the first two are borrowed
  /// Makes matrix and preconditioner anew with these stiffnesses of the faces: per face 9 x 9 on w of its three pairs, positive
  /// semidefinite; empty: none.
  void lay(std::vector<Eigen::MatrixXd> faces);
  const std::vector<Eigen::MatrixXd> &laid() const { return laid_; }
  /// d of a face from w of its pairs to their nodes' displacements: 18 x 18; nodes: proximal and distal in turn.
  static Eigen::MatrixXd on_nodes(const CutFaces &cut, std::size_t face, const Eigen::MatrixXd &d, std::vector<unsigned> &nodes);
  const CgAmg &solver() const { return *solver_; }
  CgAmg       &solver() { return *solver_; }
  std::size_t  n_unknowns() const { return 3 * node_of_.size(); }
  Vector       reduce(const Vector &nodal_force) const; ///< on the unknowns
  Vector       expand(const Vector &u) const;           ///< of all nodes
  int          unknown(unsigned node) const { return number_[node]; } ///< its place, -1: it follows others
  double       assemble_seconds = 0;

private:
  void make_targets(bool bonded);
  void number_nodes();
  CgGrid make_grid(const std::vector<std::vector<unsigned>> &elements) const;
  void add(const unsigned *nodes, int n, const double *matrix);
  void add_all();
  std::vector<std::vector<unsigned>> coupled() const;
  const Elasticity       &elasticity_;
  const CutFaces         &cut_;
  std::vector<ThreadFace> threads_;
  CgOptions               options_;
  bool                    bonded_;
  std::vector<Eigen::MatrixXd> laid_;
  std::vector<NodeTarget> targets_;
  std::vector<int>        number_;
  std::vector<unsigned>   node_of_;
  std::unique_ptr<CgAmg>  solver_;
};
} // namespace stifle::solver
