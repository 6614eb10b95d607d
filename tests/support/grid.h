// tests/support/grid.h - a matrix of any size in the order of METIS
#pragma once
#include "solver/block_matrix.h"
#include <cmath>

namespace stifle::solver
{
/// Seven-point Laplacian of an n x n x n grid, lower triangle, plus `shift` on the diagonal; METIS order.
struct Grid
{
  SparseMatrix     lower;
  std::vector<int> order;

  explicit Grid(int n, double shift = 0.1) : lower(n * n * n, n * n * n)
  {
    std::vector<Eigen::Triplet<double>>  entries;
    std::vector<std::vector<unsigned>> pairs;
    const int steps[3] = {1, n, n * n};
    for (int i = 0; i < n * n * n; ++i)
    {
      entries.emplace_back(i, i, 6 + shift + 0.01 * std::sin(i));
      for (int axis = 0; axis < 3; ++axis)
        if (i / steps[axis] % n + 1 < n)
        {
          entries.emplace_back(i + steps[axis], i, -1);
          pairs.push_back({static_cast<unsigned>(i), static_cast<unsigned>(i + steps[axis])});
        }
    }
    lower.setFromTriplets(entries.begin(), entries.end());
    std::vector<NodeTarget> each(static_cast<std::size_t>(n * n * n));
    for (std::size_t i = 0; i < each.size(); ++i)
      each[i].first = static_cast<unsigned>(i);
    for (const unsigned node : metis_order(node_graph(each.size(), each, pairs), std::vector<char>(each.size(), 1)))
      order.push_back(static_cast<int>(node));
  }
};
} // namespace stifle::solver
