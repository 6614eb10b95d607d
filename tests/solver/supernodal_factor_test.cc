// Requirements of the sparse Cholesky factor: its numbers, on any number of threads.
#include "models/core/error.h"
#include "solver/cholmod_factor.h"
#include "tests/support/grid.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
Vector some_load(Eigen::Index n) { return Vector::LinSpaced(n, 0, 50).array().sin(); }
} // namespace

// Requirement: L is the Cholesky factor of the reordered matrix. Small enough to compare with Eigen's dense one, every entry.
TEST(SupernodalFactor, IsTheDenseFactorOfTheReorderedMatrix)
{
  const Grid          grid(8);
  const int           n = static_cast<int>(grid.lower.rows());
  const CholmodFactor factor(grid.lower, grid.order);
  const Eigen::MatrixXd full = Eigen::MatrixXd(grid.lower).selfadjointView<Eigen::Lower>();
  Eigen::MatrixXd       reordered(n, n);
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j)
      reordered(i, j) = full(factor.unknown(i), factor.unknown(j));
  const Eigen::MatrixXd l = reordered.llt().matrixL();
  EXPECT_LT((factor.trailing(n).triangularView<Eigen::Lower>().toDenseMatrix() - l).cwiseAbs().maxCoeff(), 1e-13);
  const Vector b = some_load(n);
  EXPECT_LT((full * factor.solve(b) - b).norm(), 1e-13 * b.norm());
}

// Requirement: no digit depends on the number of threads. A grid whose last supernodes are wider than a panel (24 x 24 = 576 unknowns in a
// plane that cuts it), with many subtrees below.
TEST(SupernodalFactor, ThreadsChangeNoDigit)
{
  const Grid                   grid(24);
  const Vector                 b = some_load(grid.lower.rows());
  std::vector<Eigen::MatrixXd> solved, last;
  for (const int threads : {1, 2, 3, 5})
  {
    const CholmodFactor factor(grid.lower, grid.order, threads);
    solved.push_back(factor.solve(b));
    last.push_back(factor.trailing(600).triangularView<Eigen::Lower>());
  }
  const Vector residual = grid.lower.selfadjointView<Eigen::Lower>() * solved[0] - b;
  EXPECT_LT(residual.norm(), 1e-13 * b.norm());
  for (std::size_t i = 1; i < solved.size(); ++i)
  {
    EXPECT_TRUE(solved[i] == solved[0]) << i;
    EXPECT_TRUE(last[i] == last[0]) << i;
  }
}

// Requirement: a matrix that is not positive definite is named with the unknown, on any number of threads; none hangs. An unknown of a
// subtree, and one of the last plane, where other threads wait for its panel.
TEST(SupernodalFactor, NamesTheUnknownWhereItIsNotPositiveDefinite)
{
  for (const auto &[threads, from_end] : {std::pair<int, int>{1, 13000}, {3, 13000}, {3, 400}})
  {
    Grid      grid(24);
    const int bad = grid.order[grid.order.size() - static_cast<std::size_t>(from_end)];
    grid.lower.coeffRef(bad, bad) = -1;
    try
    {
      CholmodFactor(grid.lower, grid.order, threads);
      ADD_FAILURE();
    }
    catch (const Error &error)
    {
      EXPECT_NE(std::string(error.what()).find("(unknown " + std::to_string(bad) + ")"), std::string::npos) << error.what();
    }
  }
}
