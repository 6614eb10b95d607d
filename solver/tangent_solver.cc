#include "solver/tangent_solver.h"
#include <algorithm>

namespace stifle::solver
{
namespace
{
constexpr int max_iterations = 40;
} // namespace

Vector Tangent::times(const Vector &v) const
{
  Vector product = lower.selfadjointView<Eigen::Lower>() * v;
  if (rest.nonZeros() > 0)
    product += rest * v;
  return product;
}

bool TangentSolver::solve(const Tangent &a, const Vector &b, double tolerance, Vector &x)
{
  const bool fresh = !factor_ || last_ > patience_;
  if (fresh)
  {
    factor_.reset(); // two factors would not fit into a small memory
    factor_ = std::make_unique<CholmodFactor>(a.lower, order_);
    ++factorisations_;
  }
  const double left = gmres(a, b, {tolerance, fresh ? max_iterations : std::min(patience_ + 5, max_iterations)}, x);
  if (left <= tolerance)
    return true;
  if (fresh)
    return left < 1e-2;
  last_ = patience_ + 1;
  return solve(a, b, tolerance, x);
}

// Right-preconditioned, no restart; `stop`: tolerance and number of iterations. Returns the residual over b.
double TangentSolver::gmres(const Tangent &a, const Vector &b, std::pair<double, int> stop, Vector &x)
{
  const double start = b.norm();
  x = Vector::Zero(b.size());
  last_ = 0;
  if (!(start > 0))
    return 0;
  std::vector<Vector> basis{b / start};
  Eigen::MatrixXd h = Eigen::MatrixXd::Zero(max_iterations + 1, max_iterations);
  Eigen::VectorXd y, right = Eigen::VectorXd::Zero(max_iterations + 1);
  right(0) = start;
  double left = 1;
  for (int j = 0; j < stop.second && left > 0.5 * stop.first; ++j)
  {
    Vector next = a.times(factor_->solve(basis[j]));
    const double before = next.norm();
    for (int i = 0; i <= j; ++i)
    {
      h(i, j) = basis[i].dot(next);
      next -= h(i, j) * basis[i];
    }
    h(j + 1, j) = next.norm();
    const auto block = h.topLeftCorner(j + 2, j + 1);
    y = block.colPivHouseholderQr().solve(right.head(j + 2));
    left = (right.head(j + 2) - block * y).norm() / start;
    last_ = j + 1;
    if (!(h(j + 1, j) > 1e-14 * before))
      break;
    basis.push_back(next / h(j + 1, j));
  }
  Vector sum = Vector::Zero(b.size());
  for (int i = 0; i < y.size(); ++i)
    sum += y(i) * basis[i];
  x = factor_->solve(sum);
  return (b - a.times(x)).norm() / start;
}
} // namespace stifle::solver
