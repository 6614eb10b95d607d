// solver/cg_numbering.h - nodes over processes: a METIS partition, numbers that are contiguous on each process
#pragma once
#include "solver/cg_amg.h"

namespace stifle::solver
{
/// Nodes or coarse nodes in PETSc's numbering: contiguous on each process.
struct Numbering
{
  std::vector<int> owner, number; ///< per node
  int              first = 0, own = 0;

  Numbering() = default;
  Numbering(std::vector<int> owners, int processes, int process);
  /// Place among those of this process, -1: of another.
  int here(std::size_t i) const { return number[i] >= first && number[i] < first + own ? number[i] - first : -1; }
};

/// Process of each node (METIS, fewest edges cut).
std::vector<int> partition(const NodeGraph &graph, int processes);
/// Which coarse nodes any element couples.
NodeGraph coarse_graph(const CgGrid &grid, int n_coarse);
} // namespace stifle::solver
