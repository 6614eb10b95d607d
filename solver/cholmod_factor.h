// solver/cholmod_factor.h - supernodal Cholesky factor L L^T of P A P^T, with its trailing dense block: analysis and solves of CHOLMOD, numbers by
//                           supernodal_factor
//   errors  Error when the matrix is not positive definite (names the column) or memory ends
//   One BLAS thread a thread, so that no digit depends on their number.
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
class CholmodFactor
{
public:
  /// `lower`: lower triangle (entries above the diagonal are ignored); order[k] is the k-th unknown to be eliminated.
  CholmodFactor(const SparseMatrix &lower, const std::vector<int> &order, int threads = 1);
  ~CholmodFactor();
  CholmodFactor(const CholmodFactor &)            = delete;
  CholmodFactor &operator=(const CholmodFactor &) = delete;

  Vector solve(const Vector &b) const;
  /// Of several columns at once; several threads may solve at a time.
  Eigen::MatrixXd forward(const Eigen::MatrixXd &b) const;  ///< L^-1 P b, in the order of elimination
  Eigen::MatrixXd backward(const Eigen::MatrixXd &y) const; ///< P^T L^-T y
  Eigen::MatrixXd trailing(int n) const;  ///< last n x n block of L, lower triangle
  int    unknown(int k) const;            ///< the k-th unknown eliminated (differs from `order` by a postorder)
  double nonzeros() const;
  double analyse_seconds = 0, factor_seconds = 0;

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};
} // namespace stifle::solver
