// solver/cg_amg.h - conjugate gradients for node systems of three components a node (PETSc), over one or several processes
//   preconditioner  quadratic to linear elements (the mid-edge node is the mean of its two vertices), below that smoothed
//                   aggregation with the six rigid body modes of the whole body (PETSc GAMG), Chebyshev smoothing by node blocks
//   unknowns        displacement of every node that has its own; f and u are whole vectors on every process (three per node)
//   processes       a METIS partition of the nodes; each process adds any elements it likes, best those at its own nodes
//   errors          Error of PETSc, with its message; not converged is said in the report
//   seconds         of the processor, of this process
//   limits          one thread of a process at a time (PETSc): every function takes one lock
#pragma once
#include "solver/block_matrix.h"

namespace stifle::solver
{
struct CgOptions
{
  double tolerance = 1e-8; ///< energy norm of the error estimate r.M r against that of f
  int    max_iterations = 1000;
  int    modes = 6;           ///< rigid body modes: 6, or 3 (translations only, for comparison)
  bool   linear_level = true; ///< false: aggregation starts on the quadratic elements (for comparison)
  bool   all_processes = false; ///< one system over all processes of mpirun; every one makes the same calls in the same order
};

struct CgGrid ///< of the unknowns
{
  std::vector<Vector3>            nodes;   ///< mm
  std::vector<std::array<int, 2>> parents; ///< coarse nodes it is the mean of; both the same: it is that one
  NodeGraph                       graph;   ///< which nodes any element couples
};

class CgAmg
{
public:
  CgAmg(const CgGrid &grid, const CgOptions &options);
  ~CgAmg();
  int process() const;             ///< number of this one, from 0
  int owner(unsigned node) const; ///< the process that holds it
  /// Adds an element to the matrix (symmetric, 3 n x 3 n, column-major).
  void add(const unsigned *nodes, int n, const double *matrix);
  /// After the last add(): makes the preconditioner.
  void finish();
  /// A change of the matrix that the preconditioner does not know, possibly unsymmetric: then GMRES takes the place of CG, and the
  /// tolerance is a share of |M f|, M the preconditioner.
  struct Change
  {
    std::vector<unsigned> nodes;
    Eigen::MatrixXd       matrix;
  };
  void change(const std::vector<Change> &list, bool symmetric); ///< takes the place of the last one
  /// Starts from u when it has the right size, else from 0. `tolerance` 0: that of the options.
  SolveReport solve(const Vector &f, Vector &u, double tolerance = 0) const;
  Vector      times(const Vector &u) const;        ///< matrix (without change) times u
  Vector      precondition(const Vector &r) const; ///< about the displacement that r makes
  double      setup_seconds = 0;

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};
} // namespace stifle::solver
