#include "solver/dense.h"
#include "models/core/error.h"
#include <vector>

extern "C"
{
  void dpotrf_(const char *, const int *, double *, const int *, int *);
  void dpotri_(const char *, const int *, double *, const int *, int *);
  // The Fortran name: cblas_dtrmm may be the plain one of GSL, which VTK's libraries bring along: no blocking, many times slower.
  void dtrmm_(const char *, const char *, const char *, const char *, const int *, const int *, const double *, const double *,
              const int *, double *, const int *);
  void dgetrf_(const int *, const int *, double *, const int *, int *, int *);
  void dgetrs_(const char *, const int *, const int *, const double *, const int *, const int *, double *, const int *, int *);
  void sgetrf_(const int *, const int *, float *, const int *, int *, int *);
  void sgetrs_(const char *, const int *, const int *, const float *, const int *, const int *, float *, const int *, int *);
}

namespace stifle::solver
{
namespace
{
template <class Factor, class Solve, class Matrix, class Vector>
bool solve_transposed_by(Factor factor, Solve solve, Matrix &matrix, Vector &b)
{
  const int        n = static_cast<int>(matrix.rows()), one = 1;
  int              info = 0;
  std::vector<int> pivot(n);
  factor(&n, &n, matrix.data(), &n, pivot.data(), &info);
  if (info == 0)
    solve("T", &n, &one, matrix.data(), &n, pivot.data(), b.data(), &n, &info);
  return info == 0 && b.allFinite();
}
} // namespace

Eigen::MatrixXd inverse_spd(Eigen::MatrixXd matrix)
{
  const int n    = static_cast<int>(matrix.rows());
  int       info = 0;
  dpotrf_("L", &n, matrix.data(), &n, &info);
  if (info == 0)
    dpotri_("L", &n, matrix.data(), &n, &info);
  if (info != 0)
    throw Error("the condensed cut is not positive definite (LAPACK column " + std::to_string(info) + ")");
  matrix.triangularView<Eigen::StrictlyUpper>() = matrix.transpose();
  return matrix;
}

bool solve_transposed(Eigen::MatrixXd &matrix, Eigen::VectorXd &b) { return solve_transposed_by(dgetrf_, dgetrs_, matrix, b); }
bool solve_transposed(Eigen::MatrixXf &matrix, Eigen::VectorXf &b) { return solve_transposed_by(sgetrf_, sgetrs_, matrix, b); }

Eigen::MatrixXd lower_times_transpose(const Eigen::MatrixXd &lower)
{
  Eigen::MatrixXd product = lower.transpose();
  const int       n       = static_cast<int>(lower.rows());
  const double    one     = 1;
  dtrmm_("L", "L", "N", "N", &n, &n, &one, lower.data(), &n, product.data(), &n);
  return product;
}
} // namespace stifle::solver
