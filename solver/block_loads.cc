#include "solver/block_loads.h"
#include "models/core/error.h"
#include "solver/construct_system.h"

namespace stifle::solver
{
namespace
{
constexpr std::size_t kept_loads = 32, columns = 16; // of a substitution; fixed, so that no digit depends on the threads

bool same(const PointForce &a, const PointForce &b)
{
  return a.name == b.name && a.proximal == b.proximal && a.point_mm == b.point_mm && a.force_n == b.force_n && a.moment_nmm == b.moment_nmm;
}
} // namespace

bool Load::is(const std::vector<PointForce> &other) const
{
  return std::equal(forces.begin(), forces.end(), other.begin(), other.end(), same);
}

void for_each_range(std::size_t number, int threads, const std::function<void(Eigen::Index first, Eigen::Index n)> &work)
{
  for_each_index((number + columns - 1) / columns, threads, [&](std::size_t i) {
    work(static_cast<Eigen::Index>(i * columns), static_cast<Eigen::Index>(std::min(columns, number - i * columns)));
  });
}

BlockLoads::BlockLoads(const Elasticity &elasticity, const Patch &support, const Vector3 &hock_centre, const ConstructSystem *system)
  : elasticity_(elasticity), support_(support), hock_centre_(hock_centre), system_(system)
{
}

// Landmark loads and the reaction that balances them, as nodal forces.
std::shared_ptr<Load> BlockLoads::load_of(const std::vector<PointForce> &forces) const
{
  for (const PointForce &load : forces)
    if (!load.force_n.allFinite() || !load.point_mm.allFinite())
      throw Error("load " + load.name + " is not finite");
  auto load    = std::make_shared<Load>();
  load->forces = forces;
  load->nodal  = landmark_forces(elasticity_, forces);
  // From the nodal forces, not from the list: a load that a patch lost would show in the closure check.
  const Resultant sum = resultant_of(elasticity_, load->nodal, hock_centre_);
  load->reaction      = {-sum.force_n, -sum.moment_nmm};
  add_resultant(elasticity_, support_, -sum.force_n, -sum.moment_nmm, hock_centre_, load->nodal);
  return load;
}

Loads BlockLoads::of(const std::vector<LoadStep> &block, int threads)
{
  Loads all, fresh;
  for (const LoadStep &step : block)
  {
    const auto is = [&](const std::shared_ptr<Load> &load) { return load->is(step.forces); };
    auto found    = std::find_if(known_.begin(), known_.end(), is);
    if (found == known_.end())
    {
      fresh.push_back(load_of(step.forces));
      known_.push_back(fresh.back());
      found = known_.end() - 1;
    }
    all.push_back(*found);
  }
  for_each_range(system_ ? fresh.size() : 0, threads, [&](Eigen::Index first, Eigen::Index n) {
    Eigen::MatrixXd nodal(3 * elasticity_.n_nodes(), n);
    for (Eigen::Index i = 0; i < n; ++i)
      nodal.col(i) = fresh[first + i]->nodal;
    const Eigen::MatrixXd condensed = system_->condense(nodal);
    for (Eigen::Index i = 0; i < n; ++i)
      fresh[first + i]->condensed = condensed.col(i);
  });
  if (known_.size() > kept_loads)
    known_.erase(known_.begin(), known_.end() - kept_loads);
  return all;
}
} // namespace stifle::solver
