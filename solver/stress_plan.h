// solver/stress_plan.h - what the recovery of stress needs of a mesh, prepared once: geometry, material and places in the sums
//   entry     a node inside one part (a node where two parts meet has two entries); numbered as the cells are met, in their order
//   plan      of all entries, or of some: then with every cell around those, in the same order, so that a sum is the same digit by digit
//   units     mm, MPa
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
struct StressEntries
{
  std::vector<unsigned>                 node, part; ///< per entry
  std::vector<std::array<unsigned, 10>> of_cell;
};
StressEntries number_entries(const Elasticity &elasticity);

constexpr unsigned no_entry = ~0u; ///< this node of the cell is not asked for

struct StressCell
{
  double                   gradient[3][3]; ///< [j][b]: derivative of barycentric coordinate j + 1 along b, 1/mm
  double                   volume, two_mu, lambda;
  const GeneralLaw        *law; ///< null: isotropic by two_mu and lambda
  std::array<unsigned, 10> node, entry; ///< into nodes and entries of the plan
  std::size_t              cell;        ///< of the mesh
};

struct StressPlan
{
  const Elasticity      *elasticity;
  std::vector<StressCell> cells;
  std::vector<unsigned>  nodes;          ///< of the mesh that are read, ascending
  std::vector<unsigned>  entries;        ///< of all entries, which; ascending
  std::vector<unsigned>  node, part;     ///< per entry of the plan; node of the mesh
  std::vector<double>    inverse_weight; ///< 1 / volume around the entry
};
/// `wanted` per entry of `all`; empty: all of them. The elasticity is borrowed.
StressPlan make_plan(const Elasticity &elasticity, const StressEntries &all, const std::vector<char> &wanted = {});
} // namespace stifle::solver
