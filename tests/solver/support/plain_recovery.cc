#include "tests/solver/support/plain_recovery.h"
#include "solver/reference_element.h"
#include <unordered_map>

namespace stifle::solver::plain
{
namespace
{
using Stress    = Eigen::Matrix<double, 6, 1>;
using StressMap = Eigen::Map<const Stress>;

// sigma : C^-1 : sigma / 2; `law` null: isotropic.
double cell_energy_density(const Stress &s, const IsotropicMaterial &m, const GeneralLaw *law)
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
      error[c] += q.weight * cell_energy_density(difference * q.barycentric, m, law);
      energy[part] += q.weight * elasticity.volume(c) * cell_energy_density(smooth * q.barycentric, m, law);
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

RecoveredStress recover_stress(const Elasticity &elasticity, const Vector &u)
{
  RecoveredStress r;
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
    for (int i = 0; i < 4; ++i)
      r.own_mpa[c][i] = elasticity.stress(u, c, Eigen::Vector4d::Unit(i));
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
  return r;
}

namespace
{
Matrix3 matrix_of(const std::array<double, 6> &s)
{
  Matrix3 sigma;
  sigma << s[0], s[3], s[5], s[3], s[1], s[4], s[5], s[4], s[2];
  return sigma;
}

Matrix3 strain_of(const std::array<double, 6> &s, const IsotropicMaterial &m)
{
  const Matrix3 sigma = matrix_of(s);
  return ((1 + m.poisson_ratio) * sigma - m.poisson_ratio * sigma.trace() * Matrix3::Identity()) / m.modulus_mpa;
}

// Square of the Frobenius norm of the strain, an upper bound of the principal strains that needs no eigenvalues.
double strain_norm_squared(const std::array<double, 6> &s, const IsotropicMaterial &m)
{
  const double trace = s[0] + s[1] + s[2], nu = m.poisson_ratio;
  const double dots  = s[0] * s[0] + s[1] * s[1] + s[2] * s[2] + 2 * (s[3] * s[3] + s[4] * s[4] + s[5] * s[5]);
  return ((1 + nu) * (1 + nu) * dots + nu * (nu - 2) * trace * trace) / (m.modulus_mpa * m.modulus_mpa);
}
/// Largest stretch and largest shortening of a part, both as sizes.
struct LargestStrain
{
  double tension = 0, compression = 0;
  void take(const std::array<double, 6> &s, const IsotropicMaterial &m)
  {
    take(strain_norm_squared(s, m), [&] { return strain_of(s, m); });
  }
  void take(const Voigt &strain) ///< where the law differs from cell to cell
  {
    take(strain.head<3>().squaredNorm() + 0.5 * strain.tail<3>().squaredNorm(), [&] { return matrix_of_strain(strain); });
  }
  double size() const { return std::max(tension, compression); }

private:
  template <class Strain> void take(double norm_squared, Strain strain)
  {
    // No principal strain lies above the norm. A margin of 1e-9: rounding must not hide the largest one.
    const double least = std::min(tension, compression);
    if (norm_squared * (1 + 1e-9) <= least * least)
      return;
    const Vector3 e = Eigen::SelfAdjointEigenSolver<Matrix3>().computeDirect(strain(), Eigen::EigenvaluesOnly).eigenvalues();
    tension     = std::max(tension, e(2));
    compression = std::max(compression, -e(0));
  }
};

/// The largest tension of a part and where it acts.
struct Tension
{
  double  mpa = 0;
  Vector3 place_mm = Vector3::Zero();
  void take(const std::array<double, 6> &s, const Vector3 &place)
  {
    const double norm_squared = s[0] * s[0] + s[1] * s[1] + s[2] * s[2] + 2 * (s[3] * s[3] + s[4] * s[4] + s[5] * s[5]);
    if (norm_squared * (1 + 1e-9) <= mpa * mpa) // no principal stress lies above the norm
      return;
    const double largest = Eigen::SelfAdjointEigenSolver<Matrix3>().computeDirect(matrix_of(s), Eigen::EigenvaluesOnly).eigenvalues()(2);
    if (largest > mpa)
      *this = {largest, place};
  }
};

double energy_density(const std::array<double, 6> &s, const IsotropicMaterial &m)
{
  const Matrix3 e = strain_of(s, m);
  return 0.5 * (s[0] * e(0, 0) + s[1] * e(1, 1) + s[2] * e(2, 2)) + s[3] * e(0, 1) + s[4] * e(1, 2) + s[5] * e(0, 2);
}

} // namespace

static void add_yielded_volume(const Elasticity &elasticity, const PeakTable &table, const RecoveredStress &r, std::vector<double> &volume)
{
  for (std::size_t c = 0; c < r.own_mpa.size(); ++c)
  {
    const unsigned part = elasticity.mesh().part[c];
    const double   yield = table.yield_mpa(part);
    double         highest = 0; // von Mises is convex: no point inside lies above the corners
    for (int i = 0; i < 4; ++i)
      highest = std::max(highest, von_mises(r.own_mpa[c][i]));
    if (!(yield > 0) || highest <= yield)
      continue;
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      std::array<double, 6> s{};
      for (int i = 0; i < 4; ++i)
        for (int k = 0; k < 6; ++k)
          s[k] += q.barycentric(i) * r.own_mpa[c][i][k];
      if (von_mises(s) > yield)
        volume[part] += q.weight * elasticity.volume(c);
    }
  }
}

std::vector<PartPeak> rows(const Elasticity &elasticity, const PeakTable &table, const RecoveredStress &r)
{
  const std::size_t     n_parts = elasticity.mesh().parts.size();
  std::vector<PartPeak> peak[2]; // kept, excluded
  std::vector<long>     entry[2];
  std::vector<double>   yielded(n_parts, 0), error[2], around[2];
  std::vector<Tension>  tension(n_parts);
  std::vector<LargestStrain> strain(n_parts);
  for (int k = 0; k < 2; ++k)
  {
    peak[k].resize(n_parts);
    entry[k].assign(n_parts, -1);
    error[k].assign(n_parts, 0);
    around[k].assign(n_parts, 0);
  }
  std::vector<IsotropicMaterial> material(n_parts);
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
    material[elasticity.mesh().part[c]] = elasticity.material(c);
  for (std::size_t e = 0; e < r.node.size(); ++e)
  {
    const unsigned part = r.part[e];
    const int      k    = table.excluded(r.node[e], part);
    const double   v    = von_mises(r.stress_mpa[e]);
    if (entry[k][part] < 0 || v > peak[k][part].von_mises_mpa)
    {
      peak[k][part].von_mises_mpa = v;
      peak[k][part].place_mm      = elasticity.nodes()[r.node[e]];
      entry[k][part]              = static_cast<long>(e);
    }
    if (k == 1)
      continue;
    tension[part].take(r.stress_mpa[e], elasticity.nodes()[r.node[e]]);
    if (r.strain.empty())
      strain[part].take(r.stress_mpa[e], material[part]);
    else
      strain[part].take(Eigen::Map<const Voigt>(r.strain[e].data()));
  }
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
    for (int k = 0; k < 2; ++k)
    {
      const unsigned part = elasticity.mesh().part[c];
      for (const unsigned e : r.cell_entries[c])
        if (static_cast<long>(e) == entry[k][part])
        {
          error[k][part] += elasticity.volume(c) * std::pow(r.cell_error_percent[c] / 100, 2) * r.part_energy_density[part];
          around[k][part] += elasticity.volume(c);
        }
    }
  add_yielded_volume(elasticity, table, r, yielded);
  std::vector<PartPeak> rows;
  for (std::size_t p = 0; p < n_parts; ++p)
    for (int k = 0; k < 2; ++k)
    {
      PartPeak &row = peak[k][p];
      if (entry[k][p] < 0 || (k == 1 && row.von_mises_mpa <= peak[0][p].von_mises_mpa))
        continue;
      const std::size_t at       = entry[k][p];
      const double energy        = r.strain.empty() ? energy_density(r.stress_mpa[at], material[p])
                                                    : 0.5 * Eigen::Map<const Voigt>(r.stress_mpa[at].data()).dot(Eigen::Map<const Voigt>(r.strain[at].data()));
      row.part                   = elasticity.mesh().parts[p];
      row.excluded               = k == 1;
      row.error_estimate_percent = energy > 0 ? 100 * std::sqrt(error[k][p] / around[k][p] / energy) : 0;
      row.principal_strain       = strain[p].size();
      row.tension_strain         = strain[p].tension;
      row.compression_strain     = strain[p].compression;
      row.principal_mpa          = tension[p].mpa;
      row.principal_place_mm     = tension[p].place_mm;
      row.volume_above_yield_mm3 = yielded[p];
      rows.push_back(row);
    }
  return rows;
}

} // namespace stifle::solver::plain
