// solver/block_loads.h - loads of a block as nodal forces with the reaction of the support, and what the factor makes of them
//   kept    the newest loads, so that one that comes again (in every week of the same limb use) costs nothing
//   digits  columns go through the factor in fixed ranges: none depends on the number of threads
//   errors  Error: a load that is not finite, or without a patch
#pragma once
#include "models/core/parallel.h"
#include "solver/construct_model.h"
#include "solver/patch_load.h"

namespace stifle::solver
{
class ConstructSystem;

/// A load with what the factor makes of it: the same in every week.
struct Load
{
  std::vector<PointForce> forces;
  Vector                  nodal, condensed; ///< with the reaction of the support; L^-1 of it
  Resultant               reaction;         ///< about the hock centre
  bool is(const std::vector<PointForce> &other) const;
};

using Loads = std::vector<std::shared_ptr<Load>>;

class BlockLoads
{
public:
  /// All are borrowed.
  BlockLoads(const Elasticity &elasticity, const Patch &support, const Vector3 &hock_centre, const ConstructSystem *system);
  /// One entry a step.
  Loads of(const std::vector<LoadStep> &block, int threads);

private:
  std::shared_ptr<Load>  load_of(const std::vector<PointForce> &forces) const;
  const Elasticity      &elasticity_;
  const Patch           &support_;
  const Vector3          hock_centre_;
  const ConstructSystem *system_; ///< null: there is no factor
  Loads                  known_; ///< the newest last
};

/// Ranges of at most 16 of `number` columns, side by side.
void for_each_range(std::size_t number, int threads, const std::function<void(Eigen::Index first, Eigen::Index n)> &work);
} // namespace stifle::solver
