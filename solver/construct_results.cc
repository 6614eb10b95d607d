#include "solver/construct_results.h"
#include "models/parts/part_name.h"
#include "solver/reference_element.h"
#include <map>
#include <set>

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

PeakTable::PeakTable(const Elasticity &elasticity, std::vector<double> yield_mpa)
  : elasticity_(elasticity), yield_mpa_(std::move(yield_mpa)),
    near_metal_(mark_near(elasticity.nodes(), elasticity.mesh().excluded, excluded_distance_mm)),
    near_bone_(mark_near(elasticity.nodes(), elasticity.mesh().excluded, excluded_bone_distance_mm))
{
}

bool PeakTable::excluded(unsigned node, unsigned part) const
{
  const std::string &name = elasticity_.mesh().parts[part];
  const bool         bone = is_cortex(name) || is_cancellous(name);
  return bone ? near_bone_[node] : near_metal_[node];
}

void PeakTable::add_yielded_volume(const RecoveredStress &r, std::vector<double> &volume) const
{
  for (std::size_t c = 0; c < r.own_mpa.size(); ++c)
  {
    const unsigned part = elasticity_.mesh().part[c];
    const double   yield = yield_mpa_[part];
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
        volume[part] += q.weight * elasticity_.volume(c);
    }
  }
}

std::vector<PartPeak> PeakTable::rows(const RecoveredStress &r) const
{
  const std::size_t     n_parts = elasticity_.mesh().parts.size();
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
  for (std::size_t c = 0; c < elasticity_.cells().size(); ++c)
    material[elasticity_.mesh().part[c]] = elasticity_.material(c);
  for (std::size_t e = 0; e < r.node.size(); ++e)
  {
    const unsigned part = r.part[e];
    const int      k    = excluded(r.node[e], part);
    const double   v    = von_mises(r.stress_mpa[e]);
    if (entry[k][part] < 0 || v > peak[k][part].von_mises_mpa)
    {
      peak[k][part].von_mises_mpa = v;
      peak[k][part].place_mm      = elasticity_.nodes()[r.node[e]];
      entry[k][part]              = static_cast<long>(e);
    }
    if (k == 1)
      continue;
    tension[part].take(r.stress_mpa[e], elasticity_.nodes()[r.node[e]]);
    if (r.strain.empty())
      strain[part].take(r.stress_mpa[e], material[part]);
    else
      strain[part].take(Eigen::Map<const Voigt>(r.strain[e].data()));
  }
  for (std::size_t c = 0; c < elasticity_.cells().size(); ++c)
    for (int k = 0; k < 2; ++k)
    {
      const unsigned part = elasticity_.mesh().part[c];
      for (const unsigned e : r.cell_entries[c])
        if (static_cast<long>(e) == entry[k][part])
        {
          error[k][part] += elasticity_.volume(c) * std::pow(r.cell_error_percent[c] / 100, 2) * r.part_energy_density[part];
          around[k][part] += elasticity_.volume(c);
        }
    }
  add_yielded_volume(r, yielded);
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
      row.part                   = elasticity_.mesh().parts[p];
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

SegmentTurn::SegmentTurn(const Elasticity &elasticity)
{
  for (unsigned component = 0; component < 2; ++component)
    measure(elasticity, component);
}

void SegmentTurn::measure(const Elasticity &elasticity, unsigned component)
{
  const mesh::TetMesh &mesh = elasticity.mesh();
  std::vector<Vector3> first(elasticity.n_nodes(), Vector3::Zero()); // integral of N x
  std::vector<double>  zeroth(elasticity.n_nodes(), 0);              // integral of N
  Vector3              centre = Vector3::Zero();
  Matrix3              second = Matrix3::Zero(); // integral of x x^T
  double               volume = 0;
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      if (mesh.component[mesh.part[c]] != component)
        continue;
      const Cell  &cell   = elasticity.cells()[c];
      const double weight = q.weight * elasticity.volume(c);
      Vector3      x      = Vector3::Zero();
      for (int i = 0; i < 4; ++i)
        x += q.barycentric(i) * elasticity.nodes()[cell[i]];
      for (int i = 0; i < 10; ++i)
      {
        first[cell[i]] += weight * q.shape(i) * x;
        zeroth[cell[i]] += weight * q.shape(i);
      }
      centre += weight * x;
      second += weight * x * x.transpose();
      volume += weight;
    }
  inertia_[component] = Matrix3::Identity();
  if (volume == 0)
    return;
  centre /= volume;
  second -= volume * centre * centre.transpose();
  inertia_[component] = second.trace() * Matrix3::Identity() - second;
  for (std::size_t i = 0; i < first.size(); ++i)
    if (first[i] != Vector3::Zero() || zeroth[i] != 0)
    {
      node_[component].push_back(static_cast<unsigned>(i));
      arm_[component].push_back(first[i] - zeroth[i] * centre);
    }
}

Vector3 SegmentTurn::rotation(const Vector &u, unsigned component) const
{
  Vector3 moment = Vector3::Zero();
  for (std::size_t i = 0; i < node_[component].size(); ++i)
    moment += arm_[component][i].cross(Vector3(u.segment<3>(3 * node_[component][i])));
  return inertia_[component].ldlt().solve(moment);
}

double SegmentTurn::plateau_drift_deg(const Vector &u) const
{
  // A turn about +y (right-handed) carries the cranial end down, so the slope falls by it.
  return -degrees(rotation(u, 0).y() - rotation(u, 1).y());
}

double cut_turn_deg(const CutFaces &cut, const std::vector<Vector3> &nodes, const Vector &w)
{
  Vector3 centre = Vector3::Zero(), moment = Vector3::Zero();
  Matrix3 inertia = Matrix3::Zero();
  if (cut.n_cut_pairs() == 0)
    return 0;
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
    centre += cut.pairs()[p].lumped_area / cut.area() * nodes[cut.pairs()[p].proximal];
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
  {
    const CutFaces::Pair &pair = cut.pairs()[p];
    const Vector3         arm = nodes[pair.proximal] - centre, proximal = -pair.frame * w.segment<3>(3 * p);
    moment += pair.lumped_area * arm.cross(proximal);
    inertia += pair.lumped_area * (arm.squaredNorm() * Matrix3::Identity() - arm * arm.transpose());
  }
  return -degrees(inertia.ldlt().solve(moment).y());
}

ScrewSections::ScrewSections(const mesh::ConstructMesh &construct, const Elasticity &elasticity)
  : construct_(construct), elasticity_(elasticity)
{
  for (const auto &screw : construct.screws)
  {
    const int          part = construct.mesh.find_part(screw.name);
    std::set<unsigned> nodes;
    for (const mesh::FacePair &face : construct.mesh.threads)
      if (static_cast<int>(face.part_a) == part)
        for (const unsigned node : elasticity.face_nodes(face.a))
          nodes.insert(node);
    nodes_.emplace_back(nodes.begin(), nodes.end());
  }
}

std::vector<ScrewResult> ScrewSections::results(const Vector &thread_force) const
{
  std::vector<ScrewResult> results;
  for (std::size_t k = 0; k < nodes_.size(); ++k)
  {
    const auto &screw = construct_.screws[k];
    Vector3     bone = Vector3::Zero(), moment = Vector3::Zero(); // of the bone on the screw
    for (const unsigned node : nodes_[k])
    {
      const Vector3 f = thread_force.segment<3>(3 * node);
      bone += f;
      moment += (elasticity_.nodes()[node] - screw.entry).cross(f);
    }
    const Vector3 outward = (screw.entry - screw.tip).normalized();
    ScrewResult   r;
    r.screw       = screw.name;
    r.axial_n     = -bone.dot(outward);
    r.shear_n     = (bone - bone.dot(outward) * outward).norm();
    r.bending_nmm = (moment - moment.dot(outward) * outward).norm();
    results.push_back(r);
  }
  return results;
}
} // namespace stifle::solver
