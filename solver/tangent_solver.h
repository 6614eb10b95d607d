// solver/tangent_solver.h - linear systems of one Newton run: the last Cholesky factor serves as preconditioner of GMRES
//   why    the tangent changes little from one step to the next, and friction makes it slightly unsymmetric: a fresh factor is
//          made only when the old one needs too many iterations.
//   errors Error of CholmodFactor when a matrix that must be factored is not positive definite
#pragma once
#include "solver/cholmod_factor.h"

namespace stifle::solver
{
struct Tangent ///< on the free unknowns: symmetric part (lower triangle) and what friction adds
{
  SparseMatrix lower, rest;
  Vector times(const Vector &v) const;
};

class TangentSolver
{
public:
  /// `order`: elimination, see CholmodFactor. A new factor follows a system that took more than `patience` iterations.
  TangentSolver(std::vector<int> order, int patience) : order_(std::move(order)), patience_(patience) {}
  /// A x = b up to a residual of `tolerance` times b; false when even a fresh factor does not bring it below 1e-2.
  bool solve(const Tangent &a, const Vector &b, double tolerance, Vector &x);
  int factorisations() const { return factorisations_; }

private:
  double gmres(const Tangent &a, const Vector &b, std::pair<double, int> stop, Vector &x);
  std::vector<int> order_;
  std::unique_ptr<CholmodFactor> factor_;
  int patience_, last_ = 0, factorisations_ = 0;
};
} // namespace stifle::solver
