#include "solver/stress_plan.h"
#include <unordered_map>

namespace stifle::solver
{
StressEntries number_entries(const Elasticity &elasticity)
{
  StressEntries                               all;
  std::unordered_map<std::uint64_t, unsigned> known;
  all.of_cell.resize(elasticity.cells().size());
  for (std::size_t c = 0; c < all.of_cell.size(); ++c)
    for (int i = 0; i < 10; ++i)
    {
      const unsigned part = elasticity.mesh().part[c], node = elasticity.cells()[c][i];
      const auto found = known.emplace((static_cast<std::uint64_t>(part) << 32) | node, static_cast<unsigned>(all.node.size()));
      if (found.second)
      {
        all.node.push_back(node);
        all.part.push_back(part);
      }
      all.of_cell[c][i] = found.first->second;
    }
  return all;
}

namespace
{
// Numbers those that are marked, in their order; no_entry for the rest.
std::vector<unsigned> number_marked(const std::vector<char> &marked, std::vector<unsigned> &list)
{
  std::vector<unsigned> number(marked.size(), no_entry);
  for (std::size_t i = 0; i < marked.size(); ++i)
    if (marked[i])
    {
      number[i] = static_cast<unsigned>(list.size());
      list.push_back(static_cast<unsigned>(i));
    }
  return number;
}

StressCell measure(const Elasticity &elasticity, std::size_t c)
{
  StressCell cell{};
  for (int j = 0; j < 3; ++j)
    for (int b = 0; b < 3; ++b)
      cell.gradient[j][b] = elasticity.barycentric_gradients(c)(b, j);
  const IsotropicMaterial &m = elasticity.material(c);
  cell.volume                = elasticity.volume(c);
  cell.two_mu                = m.modulus_mpa / (1 + m.poisson_ratio);
  cell.lambda                = cell.two_mu * m.poisson_ratio / (1 - 2 * m.poisson_ratio);
  cell.law                   = elasticity.law(c);
  cell.cell                  = c;
  return cell;
}

bool any_of(const std::array<unsigned, 10> &entries, const std::vector<char> &wanted)
{
  return std::any_of(entries.begin(), entries.end(), [&](unsigned e) { return wanted[e] != 0; });
}
} // namespace

StressPlan make_plan(const Elasticity &elasticity, const StressEntries &all, const std::vector<char> &wanted)
{
  StressPlan              plan{&elasticity, {}, {}, {}, {}, {}, {}};
  const std::vector<char> asked = wanted.empty() ? std::vector<char>(all.node.size(), 1) : wanted;
  std::vector<char>       read(elasticity.n_nodes(), 0);
  for (std::size_t c = 0; c < all.of_cell.size(); ++c)
    if (any_of(all.of_cell[c], asked))
    {
      plan.cells.push_back(measure(elasticity, c));
      for (const unsigned node : elasticity.cells()[c])
        read[node] = 1;
    }
  const std::vector<unsigned> entry = number_marked(asked, plan.entries), node = number_marked(read, plan.nodes);
  for (const unsigned e : plan.entries)
  {
    plan.node.push_back(all.node[e]);
    plan.part.push_back(all.part[e]);
  }
  plan.inverse_weight.assign(plan.entries.size(), 0);
  for (StressCell &cell : plan.cells)
    for (int i = 0; i < 10; ++i)
    {
      cell.node[i]  = node[elasticity.cells()[cell.cell][i]];
      cell.entry[i] = entry[all.of_cell[cell.cell][i]];
      if (cell.entry[i] != no_entry)
        plan.inverse_weight[cell.entry[i]] += cell.volume;
    }
  for (double &weight : plan.inverse_weight)
    weight = 1 / weight;
  return plan;
}
} // namespace stifle::solver
