#include "solver/cg_numbering.h"
#include "models/core/error.h"
#include "solver/thread_random.h"
#include <algorithm>
#include <metis.h>

namespace stifle::solver
{
Numbering::Numbering(std::vector<int> owners, int processes, int process) : owner(std::move(owners)), number(owner.size())
{
  std::vector<int> next(processes + 1, 0);
  for (const int p : owner)
    ++next[p + 1];
  for (int p = 0; p < processes; ++p)
    next[p + 1] += next[p];
  first = next[process];
  own   = next[process + 1] - first;
  for (std::size_t i = 0; i < owner.size(); ++i)
    number[i] = next[owner[i]]++;
}

std::vector<int> partition(const NodeGraph &graph, int processes)
{
  std::vector<idx_t> part(graph.size(), 0), start{0}, list;
  if (processes > 1)
  {
    for (std::size_t i = 0; i < graph.size(); ++i)
    {
      for (const unsigned k : graph[i])
        if (k != i)
          list.push_back(static_cast<idx_t>(k));
      start.push_back(static_cast<idx_t>(list.size()));
    }
    keep_random_per_thread();
    idx_t n = static_cast<idx_t>(graph.size()), one = 1, parts = processes, cut = 0;
    if (METIS_PartGraphKway(&n, &one, start.data(), list.data(), nullptr, nullptr, nullptr, &parts, nullptr, nullptr, nullptr, &cut,
                            part.data()) != METIS_OK)
      throw Error("METIS could not part the nodes");
  }
  return std::vector<int>(part.begin(), part.end());
}

NodeGraph coarse_graph(const CgGrid &grid, int n_coarse)
{
  NodeGraph coarse(n_coarse);
  for (std::size_t i = 0; i < grid.nodes.size(); ++i)
    for (const int c : grid.parents[i])
      for (const unsigned k : grid.graph[i])
        coarse[c].insert(coarse[c].end(), {static_cast<unsigned>(grid.parents[k][0]), static_cast<unsigned>(grid.parents[k][1])});
  for (auto &list : coarse)
  {
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  }
  return coarse;
}
} // namespace stifle::solver
