#include "solver/recover_stress.h"
#include "solver/stress_lanes.h"

namespace stifle::solver
{
double mean_energy_density(const Elasticity &elasticity, std::size_t cell, const CornerStress &corners)
{
  Voigt  sum      = Voigt::Zero();
  double energies = 0;
  for (const std::array<double, 6> &corner : corners)
  {
    const Voigt s = Eigen::Map<const Voigt>(corner.data());
    sum += s;
    energies += energy_density(s, elasticity.material(cell), elasticity.law(cell));
  }
  return (energies + energy_density(sum, elasticity.material(cell), elasticity.law(cell))) / 20;
}

CornerStress stress_error(const CornerStress &recovered, const CornerStress &own)
{
  CornerStress error;
  for (int i = 0; i < 4; ++i)
    for (int k = 0; k < 6; ++k)
      error[i][k] = recovered[i][k] - own[i][k];
  return error;
}

namespace
{
void prepare(const Elasticity &elasticity, RecoveredStress &r)
{
  if (r.plan && r.plan->elasticity == &elasticity && r.plan->cells.size() == elasticity.cells().size())
    return;
  StressEntries all = number_entries(elasticity);
  r.plan            = std::make_shared<const StressPlan>(make_plan(elasticity, all));
  r.node            = std::move(all.node);
  r.part            = std::move(all.part);
  r.cell_entries    = std::move(all.of_cell);
}

void estimate_errors(const Elasticity &elasticity, RecoveredStress &r)
{
  const std::size_t   n_parts = elasticity.mesh().parts.size();
  std::vector<double> energy(n_parts, 0), volume(n_parts, 0), error(elasticity.cells().size(), 0);
  for (std::size_t c = 0; c < error.size(); ++c)
  {
    const unsigned part = elasticity.mesh().part[c];
    CornerStress   smooth;
    for (int i = 0; i < 4; ++i)
      smooth[i] = r.stress_mpa[r.cell_entries[c][i]];
    error[c] = mean_energy_density(elasticity, c, stress_error(smooth, r.own_mpa[c]));
    energy[part] += elasticity.volume(c) * mean_energy_density(elasticity, c, smooth);
    volume[part] += elasticity.volume(c);
  }
  r.part_energy_density.assign(n_parts, 0);
  for (std::size_t p = 0; p < n_parts; ++p)
    r.part_energy_density[p] = volume[p] > 0 ? energy[p] / volume[p] : 0;
  r.cell_error_percent.assign(error.size(), 0);
  for (std::size_t c = 0; c < error.size(); ++c)
  {
    const double mean = r.part_energy_density[elasticity.mesh().part[c]];
    r.cell_error_percent[c] = mean > 0 ? 100 * std::sqrt(error[c] / mean) : 0;
  }
}
} // namespace

void recover_stress(const Elasticity &elasticity, const Vector &u, RecoveredStress &r)
{
  prepare(elasticity, r);
  const std::size_t n = r.node.size();
  r.stress_mpa.assign(n, {});
  r.strain.assign(elasticity.has_own_materials() ? n : 0, {});
  r.own_mpa.resize(elasticity.cells().size());
  // A plan of all entries reads every node: u needs no gathering.
  recover_lanes<1>(*r.plan, u.data(), r.stress_mpa.data()->data(), r.strain.empty() ? nullptr : r.strain.data()->data(),
                   [&](const StressCell &cell, const CornerLanes<1> &own) {
                     for (int i = 0; i < 4; ++i)
                       for (int k = 0; k < 6; ++k)
                         r.own_mpa[cell.cell][i][k] = own[i][k](0);
                   });
  estimate_errors(elasticity, r);
}

RecoveredStress recover_stress(const Elasticity &elasticity, const Vector &u)
{
  RecoveredStress r;
  recover_stress(elasticity, u, r);
  return r;
}
} // namespace stifle::solver
