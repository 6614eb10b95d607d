// solver/block_matrix.h - sparse matrix of 3 x 3 node blocks, assembled straight into compressed columns; node orderings
//   A node may be replaced: u_node = u_first + sum of matrix * u_slot (a tie has no sum). Element matrices are transformed on entry.
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
/// What a node's displacement is made of. By default itself.
struct NodeTarget
{
  struct Term
  {
    unsigned node;
    Matrix3  matrix;
  };
  unsigned          first = 0;  ///< enters with the identity
  std::vector<Term> more;       ///< the three unknowns in these slots enter through their matrices
};

using NodeGraph = std::vector<std::vector<unsigned>>; ///< neighbours of each node with itself, sorted
/// Of what the targets refer to; `elements` lists the nodes that are coupled.
NodeGraph node_graph(std::size_t n_nodes, const std::vector<NodeTarget> &targets, const std::vector<std::vector<unsigned>> &elements);

class BlockMatrix
{
public:
  /// `elements`: lists of nodes that will be coupled. `lower_only` keeps block rows >= block column (for Cholesky).
  BlockMatrix(std::size_t n_nodes, std::vector<NodeTarget> targets, const std::vector<std::vector<unsigned>> &elements,
              bool lower_only);
  void add(const unsigned *nodes, int n, const double *matrix); ///< column-major, 3 n x 3 n
  const NodeGraph &graph() const { return graph_; }             ///< of the whole pattern, both triangles
  SparseMatrix     take(); ///< the finished matrix; nodes that nothing refers to keep empty columns
  const std::vector<NodeTarget> &targets() const { return targets_; }

private:
  void add_block(unsigned row, unsigned column, const Matrix3 &block);
  std::vector<NodeTarget> targets_;
  NodeGraph               graph_;
  std::vector<int>        start_, skip_; ///< of each block column: first block, neighbours left out (below the diagonal)
  std::vector<double>     values_;
  bool                    lower_only_;
};

/// Fill-reducing order (METIS nested dissection) of the nodes with `wanted`; the result lists nodes, first eliminated first.
std::vector<unsigned> metis_order(const NodeGraph &graph, const std::vector<char> &wanted);
} // namespace stifle::solver
