#include "models/core/error.h"
#include "solver/block_matrix.h"
#include "solver/cholmod_factor.h"
#include <algorithm>
#include <chrono>
#include <cmath>

namespace stifle::solver
{
namespace
{
// Unknowns in the order of elimination, without the prescribed ones.
std::vector<int> free_order(const Elasticity &elasticity, const std::vector<char> &is_fixed)
{
  NodeGraph graph(elasticity.n_nodes());
  for (const Cell &cell : elasticity.cells())
    for (const unsigned i : cell)
      graph[i].insert(graph[i].end(), cell.begin(), cell.end());
  for (auto &list : graph)
  {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  }
  std::vector<int> order;
  for (const unsigned node : metis_order(graph, std::vector<char>(elasticity.n_nodes(), 1)))
    for (int c = 0; c < 3; ++c)
      if (!is_fixed[3 * node + c])
        order.push_back(static_cast<int>(3 * node + c));
  return order;
}

SparseMatrix lower_of_free(const SparseMatrix &k, const std::vector<int> &number, int n_free)
{
  SparseMatrix lower(n_free, n_free);
  std::vector<int>    rows, start{0};
  std::vector<double> values;
  for (int j = 0; j < k.cols(); ++j)
  {
    if (number[j] < 0)
      continue;
    for (SparseMatrix::InnerIterator it(k, j); it; ++it)
      if (number[it.row()] >= number[j]) // numbers rise with the unknown, so rows stay sorted
      {
        rows.push_back(number[it.row()]);
        values.push_back(it.value());
      }
    start.push_back(static_cast<int>(rows.size()));
  }
  lower.resizeNonZeros(static_cast<Eigen::Index>(rows.size()));
  std::copy(rows.begin(), rows.end(), lower.innerIndexPtr());
  std::copy(values.begin(), values.end(), lower.valuePtr());
  std::copy(start.begin(), start.end(), lower.outerIndexPtr());
  return lower;
}
} // namespace

Vector solve(const Elasticity &elasticity, const std::vector<Fixed> &fixed, const Vector &force, SolveReport *report, Vector *reaction)
{
  const auto         begin = std::chrono::steady_clock::now();
  const SparseMatrix k     = elasticity.stiffness();
  const int          n     = static_cast<int>(k.rows());
  if (force.size() != n)
    throw Error("solve: the force has " + std::to_string(force.size()) + " entries, the mesh " + std::to_string(n));
  std::vector<char> is_fixed(n, 0);
  Vector            u = Vector::Zero(n);
  for (const Fixed &f : fixed)
  {
    is_fixed.at(3 * f.node + f.component) = 1;
    u(3 * f.node + f.component)           = f.value_mm;
  }
  std::vector<int> number(n, -1);
  int              n_free = 0;
  for (int i = 0; i < n; ++i)
    if (!is_fixed[i])
      number[i] = n_free++;
  std::vector<int> order;
  for (const int i : free_order(elasticity, is_fixed))
    order.push_back(number[i]);
  if (n_free > 0)
  {
    const CholmodFactor factor(lower_of_free(k, number, n_free), order);
    // One step of refinement keeps the residual at rounding level when stiff and soft parts meet.
    for (int step = 0; step < 2; ++step)
    {
      const Vector residual = force - k * u;
      Vector       b(n_free);
      for (int i = 0; i < n; ++i)
        if (number[i] >= 0)
          b(number[i]) = residual(i);
      const Vector du = factor.solve(b);
      for (int i = 0; i < n; ++i)
        if (number[i] >= 0)
          u(i) += du(number[i]);
    }
  }
  const Vector internal = k * u;
  double       error = 0, scale = 0;
  for (int i = 0; i < n; ++i)
  {
    error += number[i] >= 0 ? std::pow(force(i) - internal(i), 2) : 0;
    scale += number[i] >= 0 ? force(i) * force(i) : internal(i) * internal(i);
  }
  const double relative = scale > 0 ? std::sqrt(error / scale) : 0;
  if (reaction)
  {
    *reaction = Vector::Zero(n);
    for (int i = 0; i < n; ++i)
      if (is_fixed[i])
        (*reaction)(i) = internal(i) - force(i);
  }
  if (report)
    *report = {relative < 1e-8, 1, relative, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count()};
  return u;
}
} // namespace stifle::solver
