#include "solver/dense.h"
#include "models/core/error.h"
#include <cblas.h>
#include <vector>

extern "C"
{
  void dpotrf_(const char *, const int *, double *, const int *, int *);
  void dpotri_(const char *, const int *, double *, const int *, int *);
  void dgesv_(const int *, const int *, double *, const int *, int *, double *, const int *, int *);
}

namespace stifle::solver
{
Eigen::MatrixXd inverse_from_factor(Eigen::MatrixXd lower)
{
  const int n    = static_cast<int>(lower.rows());
  int       info = 0;
  dpotri_("L", &n, lower.data(), &n, &info);
  if (info != 0)
    throw Error("the condensed cut is singular (LAPACK dpotri " + std::to_string(info) + ")");
  lower.triangularView<Eigen::StrictlyUpper>() = lower.transpose();
  return lower;
}

Eigen::MatrixXd inverse_spd(Eigen::MatrixXd matrix)
{
  const int n    = static_cast<int>(matrix.rows());
  int       info = 0;
  dpotrf_("L", &n, matrix.data(), &n, &info);
  if (info != 0)
    throw Error("the condensed cut with callus is not positive definite (LAPACK dpotrf " + std::to_string(info) + ")");
  return inverse_from_factor(std::move(matrix));
}

bool solve_general(Eigen::MatrixXd &matrix, Eigen::VectorXd &b)
{
  const int        n = static_cast<int>(matrix.rows()), one = 1;
  int              info = 0;
  std::vector<int> pivot(n);
  dgesv_(&n, &one, matrix.data(), &n, pivot.data(), b.data(), &n, &info);
  return info == 0 && b.allFinite();
}

void multiply(const Eigen::MatrixXd &a, const Eigen::MatrixXd &b, Eigen::MatrixXd &c)
{
  c.resize(a.rows(), b.cols());
  cblas_dgemm(CblasColMajor, CblasNoTrans, CblasNoTrans, static_cast<int>(a.rows()), static_cast<int>(b.cols()),
              static_cast<int>(a.cols()), 1.0, a.data(), static_cast<int>(a.rows()), b.data(), static_cast<int>(b.rows()), 0.0,
              c.data(), static_cast<int>(c.rows()));
}
} // namespace stifle::solver
