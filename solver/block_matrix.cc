#include "solver/block_matrix.h"
#include "models/core/error.h"
#include "solver/thread_random.h"
#include <algorithm>
#include <metis.h>

namespace stifle::solver
{
NodeGraph node_graph(std::size_t n_nodes, const std::vector<NodeTarget> &targets, const std::vector<std::vector<unsigned>> &elements)
{
  std::vector<std::vector<unsigned>> expanded(elements.size());
  std::vector<int>                   count(n_nodes + 1, 0);
  for (std::size_t e = 0; e < elements.size(); ++e)
  {
    for (const unsigned node : elements[e])
    {
      expanded[e].push_back(targets[node].first);
      for (const NodeTarget::Term &term : targets[node].more)
        expanded[e].push_back(term.node);
    }
    std::sort(expanded[e].begin(), expanded[e].end());
    expanded[e].erase(std::unique(expanded[e].begin(), expanded[e].end()), expanded[e].end());
    for (const unsigned node : expanded[e])
      ++count[node + 1];
  }
  for (std::size_t i = 0; i < n_nodes; ++i)
    count[i + 1] += count[i];
  std::vector<unsigned> around(count[n_nodes]);
  std::vector<int>      fill(count.begin(), count.end() - 1);
  for (std::size_t e = 0; e < elements.size(); ++e)
    for (const unsigned node : expanded[e])
      around[fill[node]++] = static_cast<unsigned>(e);
  NodeGraph        graph(n_nodes);
  std::vector<int> mark(n_nodes, -1);
  for (std::size_t i = 0; i < n_nodes; ++i)
  {
    for (int k = count[i]; k < count[i + 1]; ++k)
      for (const unsigned other : expanded[around[k]])
        if (mark[other] != static_cast<int>(i))
        {
          mark[other] = static_cast<int>(i);
          graph[i].push_back(other);
        }
    std::sort(graph[i].begin(), graph[i].end());
  }
  return graph;
}

BlockMatrix::BlockMatrix(std::size_t n_nodes, std::vector<NodeTarget> targets,
                         const std::vector<std::vector<unsigned>> &elements, bool lower_only)
  : targets_(std::move(targets)), lower_only_(lower_only)
{
  graph_ = node_graph(n_nodes, targets_, elements);
  start_.assign(n_nodes + 1, 0);
  skip_.assign(n_nodes, 0);
  for (std::size_t i = 0; i < n_nodes; ++i)
  {
    if (lower_only)
      skip_[i] = static_cast<int>(std::lower_bound(graph_[i].begin(), graph_[i].end(), i) - graph_[i].begin());
    start_[i + 1] = start_[i] + static_cast<int>(graph_[i].size()) - skip_[i];
  }
  values_.assign(9 * static_cast<std::size_t>(start_[n_nodes]), 0.0);
}

void BlockMatrix::add_block(unsigned row, unsigned column, const Matrix3 &block)
{
  if (lower_only_ && row < column)
    return;
  const auto       &list   = graph_[column];
  const std::size_t length = list.size() - skip_[column];
  const std::size_t k      = std::lower_bound(list.begin() + skip_[column], list.end(), row) - list.begin() - skip_[column];
  double           *v      = values_.data() + 9 * static_cast<std::size_t>(start_[column]) + 3 * k;
  for (int c = 0; c < 3; ++c)
    for (int r = 0; r < 3; ++r)
      v[c * 3 * length + r] += block(r, c);
}

void BlockMatrix::add(const unsigned *nodes, int n, const double *matrix)
{
  const Eigen::Map<const Eigen::MatrixXd> m(matrix, 3 * n, 3 * n);
  for (int j = 0; j < n; ++j)
  {
    const NodeTarget &tj = targets_[nodes[j]];
    for (int i = 0; i < n; ++i)
    {
      const NodeTarget &ti    = targets_[nodes[i]];
      const Matrix3     block = m.block<3, 3>(3 * i, 3 * j);
      add_block(ti.first, tj.first, block);
      for (const NodeTarget::Term &row : ti.more)
        add_block(row.node, tj.first, row.matrix.transpose() * block);
      for (const NodeTarget::Term &column : tj.more)
      {
        add_block(ti.first, column.node, block * column.matrix);
        for (const NodeTarget::Term &row : ti.more)
          add_block(row.node, column.node, row.matrix.transpose() * block * column.matrix);
      }
    }
  }
}

SparseMatrix BlockMatrix::take()
{
  const int    n = static_cast<int>(graph_.size());
  SparseMatrix matrix(3 * n, 3 * n);
  matrix.resizeNonZeros(static_cast<Eigen::Index>(values_.size()));
  int position = 0;
  for (int j = 0; j < n; ++j)
    for (int c = 0; c < 3; ++c)
    {
      matrix.outerIndexPtr()[3 * j + c] = position;
      for (std::size_t k = skip_[j]; k < graph_[j].size(); ++k)
        for (int r = 0; r < 3; ++r)
          matrix.innerIndexPtr()[position++] = static_cast<int>(3 * graph_[j][k]) + r;
    }
  matrix.outerIndexPtr()[3 * n] = position;
  std::copy(values_.begin(), values_.end(), matrix.valuePtr());
  std::vector<double>().swap(values_);
  return matrix;
}

std::vector<unsigned> metis_order(const NodeGraph &graph, const std::vector<char> &wanted)
{
  std::vector<idx_t>    number(graph.size(), -1), start{0}, list;
  std::vector<unsigned> nodes;
  for (std::size_t i = 0; i < graph.size(); ++i)
    if (wanted[i])
    {
      number[i] = static_cast<idx_t>(nodes.size());
      nodes.push_back(static_cast<unsigned>(i));
    }
  for (const unsigned i : nodes)
  {
    for (const unsigned k : graph[i])
      if (k != i && number[k] >= 0)
        list.push_back(number[k]);
    start.push_back(static_cast<idx_t>(list.size()));
  }
  idx_t n = static_cast<idx_t>(nodes.size());
  if (n == 0 || list.empty())
    return nodes;
  keep_random_per_thread();
  std::vector<idx_t> permutation(n), inverse(n);
  if (METIS_NodeND(&n, start.data(), list.data(), nullptr, nullptr, permutation.data(), inverse.data()) != METIS_OK)
    throw Error("METIS could not order the nodes");
  std::vector<unsigned> order(n);
  for (idx_t k = 0; k < n; ++k)
    order[k] = nodes[permutation[k]];
  return order;
}
} // namespace stifle::solver
