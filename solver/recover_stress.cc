#include "solver/elasticity.h"
#include "solver/reference_element.h"
#include <unordered_map>

namespace stifle::solver
{
namespace
{
using Stress    = Eigen::Matrix<double, 6, 1>;
using StressMap = Eigen::Map<const Stress>;

// sigma : C^-1 : sigma / 2; `law` null: isotropic.
double energy_density(const Stress &s, const IsotropicMaterial &m, const GeneralLaw *law)
{
  if (law)
    return 0.5 * s.dot(law->compliance * s);
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

void estimate_errors(const Elasticity &elasticity, RecoveredStress &r)
{
  const std::size_t   n_parts = elasticity.mesh().parts.size();
  std::vector<double> energy(n_parts, 0), volume(n_parts, 0), error(elasticity.cells().size(), 0);
  for (std::size_t c = 0; c < error.size(); ++c)
  {
    const IsotropicMaterial &m   = elasticity.material(c);
    const GeneralLaw        *law = elasticity.law(c);
    const unsigned           part = elasticity.mesh().part[c];
    Eigen::Matrix<double, 6, 4> smooth, difference;
    for (int i = 0; i < 4; ++i)
    {
      smooth.col(i)     = StressMap(r.stress_mpa[r.cell_entries[c][i]].data());
      difference.col(i) = smooth.col(i) - StressMap(r.own_mpa[c][i].data());
    }
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      error[c] += q.weight * energy_density(difference * q.barycentric, m, law);
      energy[part] += q.weight * elasticity.volume(c) * energy_density(smooth * q.barycentric, m, law);
    }
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
  if (r.cell_entries.size() != elasticity.cells().size())
    number_entries(elasticity, r);
  const std::size_t   n = r.node.size();
  std::vector<double> weight(n, 0);
  r.stress_mpa.assign(n, {});
  r.own_mpa.resize(elasticity.cells().size());
  r.strain.assign(elasticity.has_own_materials() ? n : 0, {});
  const auto add = [&](unsigned entry, double v, const Stress &s) {
    Eigen::Map<Stress>(r.stress_mpa[entry].data()) += v * s;
    weight[entry] += v;
  };
  for (std::size_t c = 0; c < r.own_mpa.size(); ++c)
  {
    r.own_mpa[c]  = elasticity.corner_stress(u, c);
    const auto own = [&](int i) { return StressMap(r.own_mpa[c][i].data()); };
    for (int i = 0; i < 4; ++i)
      add(r.cell_entries[c][i], elasticity.volume(c), own(i));
    if (!r.strain.empty())
      for (int i = 0; i < 10; ++i)
        Eigen::Map<Stress>(r.strain[r.cell_entries[c][i]].data()) +=
            elasticity.volume(c) *
            elasticity.strain_of(c, i < 4 ? Stress(own(i)) : Stress(0.5 * (own(tetrahedron_edges[i - 4][0]) + own(tetrahedron_edges[i - 4][1]))));
    for (int e = 0; e < 6; ++e)
      add(r.cell_entries[c][4 + e], elasticity.volume(c), 0.5 * (own(tetrahedron_edges[e][0]) + own(tetrahedron_edges[e][1])));
  }
  for (std::size_t e = 0; e < n; ++e)
    Eigen::Map<Stress>(r.stress_mpa[e].data()) /= weight[e];
  for (std::size_t e = 0; e < r.strain.size(); ++e)
    Eigen::Map<Stress>(r.strain[e].data()) /= weight[e];
  estimate_errors(elasticity, r);
}

RecoveredStress recover_stress(const Elasticity &elasticity, const Vector &u)
{
  RecoveredStress r;
  recover_stress(elasticity, u, r);
  return r;
}
} // namespace stifle::solver
