#include "models/parts/part_name.h"
#include "solver/construct_results.h"
#include "solver/peak_lanes.h"
#include "solver/recover_stress.h"
#include <map>

namespace stifle::solver
{
namespace
{
double distance(const Vector3 &x, const mesh::TetMesh::ExcludedLine &line)
{
  const Vector3 along = line.to - line.from;
  const double  s     = along.squaredNorm() > 0 ? (x - line.from).dot(along) / along.squaredNorm() : 0;
  return (line.from + std::min(1.0, std::max(0.0, s)) * along - x).norm();
}

// Lines sorted into boxes of a grid, so that each node looks at few of them.
std::vector<char> mark_near(const std::vector<Vector3> &nodes, const std::vector<mesh::TetMesh::ExcludedLine> &lines, double distance_mm)
{
  constexpr double box = 2.0;
  using Key            = std::array<int, 3>;
  std::map<Key, std::vector<std::size_t>> grid;
  const auto                              key = [](const Vector3 &x) {
    return Key{{static_cast<int>(std::floor(x.x() / box)), static_cast<int>(std::floor(x.y() / box)), static_cast<int>(std::floor(x.z() / box))}};
  };
  const Vector3 margin = Vector3::Constant(distance_mm);
  for (std::size_t l = 0; l < lines.size(); ++l)
  {
    const Key low = key(lines[l].from.cwiseMin(lines[l].to) - margin), high = key(lines[l].from.cwiseMax(lines[l].to) + margin);
    for (int i = low[0]; i <= high[0]; ++i)
      for (int j = low[1]; j <= high[1]; ++j)
        for (int k = low[2]; k <= high[2]; ++k)
          grid[Key{{i, j, k}}].push_back(l);
  }
  std::vector<char> near(nodes.size(), 0);
  for (std::size_t n = 0; n < nodes.size(); ++n)
  {
    const auto found = grid.find(key(nodes[n]));
    if (found == grid.end())
      continue;
    for (const std::size_t l : found->second)
      near[n] = near[n] || distance(nodes[n], lines[l]) <= distance_mm;
  }
  return near;
}

Matrix3 matrix_of(const Voigt &s)
{
  Matrix3 sigma;
  sigma << s(0), s(3), s(5), s(3), s(1), s(4), s(5), s(4), s(2);
  return sigma;
}

Vector3 eigenvalues(const Matrix3 &m)
{
  return Eigen::SelfAdjointEigenSolver<Matrix3>().computeDirect(m, Eigen::EigenvaluesOnly).eigenvalues();
}
} // namespace

double largest_principal(const Voigt &stress) { return eigenvalues(matrix_of(stress))(2); }

std::array<double, 2> principal_strains(const Voigt &strain)
{
  const Vector3 e = eigenvalues(matrix_of_strain(strain));
  return {{e(0), e(2)}};
}

PeakTable::PeakTable(const Elasticity &elasticity, std::vector<double> yield_mpa)
  : elasticity_(elasticity), yield_mpa_(std::move(yield_mpa)), material_(elasticity.mesh().parts.size()),
    near_metal_(mark_near(elasticity.nodes(), elasticity.mesh().excluded, excluded_distance_mm)),
    near_bone_(mark_near(elasticity.nodes(), elasticity.mesh().excluded, excluded_bone_distance_mm))
{
  for (std::size_t c = 0; c < elasticity_.cells().size(); ++c)
    material_[elasticity_.mesh().part[c]] = elasticity_.material(c);
}

bool PeakTable::excluded(unsigned node, unsigned part) const
{
  const std::string &name = elasticity_.mesh().parts[part];
  const bool         bone = is_cortex(name) || is_cancellous(name);
  return bone ? near_bone_[node] : near_metal_[node];
}

EntryGroups PeakTable::groups(const std::vector<unsigned> &node, const std::vector<unsigned> &part) const
{
  EntryGroups groups;
  groups.of[0].resize(elasticity_.mesh().parts.size());
  groups.of[1] = groups.of[0];
  for (std::size_t e = 0; e < node.size(); ++e)
    groups.of[excluded(node[e], part[e])][part[e]].push_back(static_cast<unsigned>(e));
  return groups;
}

std::vector<PeakRow> PeakTable::peak_rows(const std::vector<Extremes> &parts, const std::vector<unsigned> &node) const
{
  std::vector<PeakRow> rows;
  for (std::size_t p = 0; p < parts.size(); ++p)
    for (int k = 0; k < 2; ++k)
    {
      const Extremes       &x    = parts[p];
      const Extremes::Peak &peak = x.von_mises[k];
      if (peak.entry < 0 || (k == 1 && peak.mpa <= x.von_mises[0].mpa))
        continue;
      PartPeak row;
      row.part               = elasticity_.mesh().parts[p];
      row.von_mises_mpa      = peak.mpa;
      row.place_mm           = elasticity_.nodes()[node[peak.entry]];
      row.excluded           = k == 1;
      row.principal_strain   = std::max(x.stretch, x.shortening);
      row.tension_strain     = x.stretch;
      row.compression_strain = x.shortening;
      row.principal_mpa      = x.tension.mpa;
      if (x.tension.entry >= 0)
        row.principal_place_mm = elasticity_.nodes()[node[x.tension.entry]];
      rows.push_back({row, static_cast<unsigned>(p), static_cast<unsigned>(peak.entry)});
    }
  return rows;
}

std::vector<PartPeak> PeakTable::rows(const RecoveredStress &r) const
{
  const EntryGroups     groups = this->groups(r.node, r.part);
  std::vector<Extremes> parts;
  LaneField<1>          field{r.stress_mpa.data()->data(), r.strain.empty() ? nullptr : r.strain.data()->data(), {}};
  for (unsigned p = 0; p < material_.size(); ++p)
  {
    field.material = material_[p];
    parts.push_back(find_extremes<1>(field, groups, p)[0]);
  }
  std::vector<double> yielded(parts.size(), 0);
  for (std::size_t c = 0; c < r.own_mpa.size(); ++c)
  {
    const unsigned part = elasticity_.mesh().part[c];
    if (const double share = yielded_share(r.own_mpa[c], yield_mpa_[part]); share > 0)
      yielded[part] += share * elasticity_.volume(c);
  }
  std::vector<PeakRow>  peaks = peak_rows(parts, r.node);
  std::vector<unsigned> places;
  for (const PeakRow &peak : peaks)
    places.push_back(peak.entry);
  const CellsAround     around(r.cell_entries, r.node.size(), places);
  std::vector<PartPeak> rows;
  for (PeakRow &peak : peaks)
  {
    field.material                 = material_[peak.part];
    const double energy            = 0.5 * field.stress_at(peak.entry, 0).dot(field.strain_at(peak.entry, 0));
    peak.row.volume_above_yield_mm3 = yielded[peak.part];
    peak.row.error_estimate_percent = error_percent(elasticity_, around.of(peak.entry), energy, [&](std::size_t c) {
      return std::pow(r.cell_error_percent[c] / 100, 2) * r.part_energy_density[peak.part];
    });
    rows.push_back(peak.row);
  }
  return rows;
}
} // namespace stifle::solver
