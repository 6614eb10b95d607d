#include "solver/elasticity.h"
#include "solver/reference_element.h"
#include <unordered_map>

namespace stifle::solver
{
namespace
{
using Stress = Eigen::Matrix<double, 6, 1>;

Stress as_vector(const std::array<double, 6> &s) { return Eigen::Map<const Stress>(s.data()); }

// sigma : C^-1 : sigma / 2 of an isotropic material.
double energy_density(const Stress &s, const IsotropicMaterial &m)
{
  const double trace = s(0) + s(1) + s(2);
  const double dots  = s.head<3>().squaredNorm() + 2 * s.tail<3>().squaredNorm();
  return 0.5 * ((1 + m.poisson_ratio) * dots - m.poisson_ratio * trace * trace) / m.modulus_mpa;
}

// One entry per node and part that meet.
void number_entries(const Elasticity &elasticity, RecoveredStress &r)
{
  std::unordered_map<std::uint64_t, unsigned> known;
  r.cell_entries.resize(elasticity.cells().size());
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
  {
    const unsigned part = elasticity.mesh().part[c];
    for (int i = 0; i < 10; ++i)
    {
      const unsigned node  = elasticity.cells()[c][i];
      const auto     found = known.emplace((static_cast<std::uint64_t>(part) << 32) | node, static_cast<unsigned>(r.node.size()));
      if (found.second)
      {
        r.node.push_back(node);
        r.part.push_back(part);
      }
      r.cell_entries[c][i] = found.first->second;
    }
  }
}

void estimate_errors(const Elasticity &elasticity, const std::vector<std::array<Stress, 4>> &own,
                     const std::vector<Stress> &recovered, RecoveredStress &r)
{
  const std::size_t   n_parts = elasticity.mesh().parts.size();
  std::vector<double> energy(n_parts, 0), volume(n_parts, 0), error(elasticity.cells().size(), 0);
  for (std::size_t c = 0; c < error.size(); ++c)
  {
    const IsotropicMaterial &m = elasticity.material(c);
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      Stress difference = Stress::Zero(), smooth = Stress::Zero();
      for (int i = 0; i < 4; ++i)
      {
        smooth += q.barycentric(i) * recovered[r.cell_entries[c][i]];
        difference += q.barycentric(i) * (recovered[r.cell_entries[c][i]] - own[c][i]);
      }
      error[c] += q.weight * energy_density(difference, m);
      energy[elasticity.mesh().part[c]] += q.weight * elasticity.volume(c) * energy_density(smooth, m);
    }
    volume[elasticity.mesh().part[c]] += elasticity.volume(c);
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

RecoveredStress recover_stress(const Elasticity &elasticity, const Vector &u)
{
  RecoveredStress r;
  number_entries(elasticity, r);
  const std::size_t                  n = r.node.size();
  std::vector<Stress>                sum(n, Stress::Zero());
  std::vector<double>                weight(n, 0);
  std::vector<std::array<Stress, 4>> own(elasticity.cells().size());
  for (std::size_t c = 0; c < own.size(); ++c)
  {
    const double v = elasticity.volume(c);
    for (int i = 0; i < 4; ++i)
      own[c][i] = as_vector(elasticity.stress(u, c, Eigen::Vector4d::Unit(i)));
    for (int i = 0; i < 10; ++i)
    {
      const Stress s = i < 4 ? own[c][i] : Stress(0.5 * (own[c][tetrahedron_edges[i - 4][0]] + own[c][tetrahedron_edges[i - 4][1]]));
      sum[r.cell_entries[c][i]] += v * s;
      weight[r.cell_entries[c][i]] += v;
    }
  }
  for (std::size_t e = 0; e < n; ++e)
    sum[e] /= weight[e];
  estimate_errors(elasticity, own, sum, r);
  r.stress_mpa.resize(n);
  for (std::size_t e = 0; e < n; ++e)
    for (int k = 0; k < 6; ++k)
      r.stress_mpa[e][k] = sum[e](k);
  return r;
}
} // namespace stifle::solver
