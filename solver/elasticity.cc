#include "solver/elasticity.h"
#include "models/core/error.h"
#include "solver/block_matrix.h"
#include "solver/reference_element.h"
#include <algorithm>
#include <unordered_map>

namespace stifle::solver
{
namespace
{
std::uint64_t edge_key(unsigned a, unsigned b) { return (static_cast<std::uint64_t>(std::min(a, b)) << 32) | std::max(a, b); }

// Integrals over the reference cell (volume 1) of dN_i/dr_a dN_j/dr_b, from the quadrature of deal.II.
using Integrals = std::array<std::array<Matrix3, 10>, 10>;
const Integrals &reference_integrals()
{
  static const Integrals integrals = [] {
    Integrals table;
    for (auto &row : table)
      row.fill(Matrix3::Zero());
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      const ShapeGradients g = reference_element().gradients(q.barycentric);
      for (int i = 0; i < 10; ++i)
        for (int j = 0; j < 10; ++j)
          table[i][j] += q.weight * g.col(i) * g.col(j).transpose();
    }
    return table;
  }();
  return integrals;
}
} // namespace

struct Elasticity::Implementation
{
  const mesh::TetMesh                    *mesh;
  std::vector<IsotropicMaterial>          materials; ///< per cell
  std::vector<int>                        law_of;    ///< per cell, into `laws` or -1; empty: all isotropic
  std::vector<GeneralLaw>                 laws;
  std::vector<double>                     free_strain; ///< per vertex; empty: none
  bool                                    own_materials = false;
  std::vector<Vector3>                    nodes;
  std::vector<Cell>                       cells;
  std::unordered_map<std::uint64_t, unsigned> edges;
  std::vector<Matrix3>                    inverse_transposed; ///< J^-T per cell
  std::vector<double>                     volumes;

  void place_materials(const std::vector<IsotropicMaterial> &of_part, const std::vector<CellMaterial> &own);
  const GeneralLaw *law(std::size_t cell) const { return law_of.empty() || law_of[cell] < 0 ? nullptr : &laws[law_of[cell]]; }
  /// h(a, b) = du_a / dx_b, free strain taken off.
  std::array<double, 6> stress(Matrix3 h, std::size_t cell, const Eigen::Vector4d &b) const;
  void number_nodes();
  void measure_cells();
  ShapeGradients gradients(std::size_t cell, const Eigen::Vector4d &b) const
  {
    return inverse_transposed[cell] * reference_element().gradients(b);
  }
};

void Elasticity::Implementation::number_nodes()
{
  nodes = mesh->points;
  std::vector<char> used(nodes.size(), 0);
  cells.resize(mesh->tetrahedra.size());
  for (std::size_t c = 0; c < cells.size(); ++c)
  {
    const mesh::Tetrahedron &t = mesh->tetrahedra[c];
    for (int i = 0; i < 4; ++i)
    {
      cells[c][i]   = t[i];
      used.at(t[i]) = 1;
    }
    for (int e = 0; e < 6; ++e)
    {
      const unsigned a = t[tetrahedron_edges[e][0]], b = t[tetrahedron_edges[e][1]];
      const auto     found = edges.emplace(edge_key(a, b), static_cast<unsigned>(nodes.size()));
      if (found.second)
        nodes.push_back(0.5 * (mesh->points[a] + mesh->points[b]));
      cells[c][4 + e] = found.first->second;
    }
  }
  for (std::size_t i = 0; i < used.size(); ++i)
    if (!used[i])
      throw Error("mesh: point " + std::to_string(i) + " belongs to no tetrahedron");
}

void Elasticity::Implementation::measure_cells()
{
  inverse_transposed.resize(cells.size());
  volumes.resize(cells.size());
  for (std::size_t c = 0; c < cells.size(); ++c)
  {
    Matrix3 jacobian;
    for (int d = 0; d < 3; ++d)
      jacobian.col(d) = nodes[cells[c][d + 1]] - nodes[cells[c][0]];
    volumes[c] = jacobian.determinant() / 6;
    if (!(volumes[c] > 0))
      throw Error("mesh: tetrahedron " + std::to_string(c) + " has volume " + std::to_string(volumes[c]) + " mm^3");
    inverse_transposed[c] = jacobian.inverse().transpose();
  }
}

void Elasticity::Implementation::place_materials(const std::vector<IsotropicMaterial> &of_part, const std::vector<CellMaterial> &own)
{
  for (const unsigned part : mesh->part)
    materials.push_back(of_part.at(part));
  own_materials = !own.empty();
  for (const CellMaterial &m : own)
  {
    materials.at(m.cell) = m.material;
    if (!m.law)
      continue;
    law_of.resize(cells.size(), -1);
    law_of[m.cell] = static_cast<int>(laws.size());
    laws.push_back(*m.law);
  }
}

Elasticity::Elasticity(const mesh::TetMesh &mesh, std::vector<IsotropicMaterial> materials, const std::vector<CellMaterial> &own)
  : impl_(std::make_unique<Implementation>())
{
  if (mesh.tetrahedra.empty() || mesh.part.size() != mesh.tetrahedra.size() || materials.size() < mesh.parts.size())
    throw Error("elasticity: the mesh is empty, or a tetrahedron has no part, or a part has no material");
  impl_->mesh      = &mesh;
  impl_->number_nodes();
  impl_->measure_cells();
  impl_->place_materials(materials, own);
}
Elasticity::~Elasticity() = default;

const mesh::TetMesh        &Elasticity::mesh() const { return *impl_->mesh; }
std::size_t                 Elasticity::n_nodes() const { return impl_->nodes.size(); }
const std::vector<Vector3> &Elasticity::nodes() const { return impl_->nodes; }
const std::vector<Cell>    &Elasticity::cells() const { return impl_->cells; }
const IsotropicMaterial    &Elasticity::material(std::size_t c) const { return impl_->materials.at(c); }
const GeneralLaw           *Elasticity::law(std::size_t cell) const { return impl_->law(cell); }
bool                        Elasticity::has_own_materials() const { return impl_->own_materials; }
double                      Elasticity::volume(std::size_t cell) const { return impl_->volumes[cell]; }
const Matrix3              &Elasticity::barycentric_gradients(std::size_t cell) const { return impl_->inverse_transposed[cell]; }
const std::vector<double>  &Elasticity::free_strain() const { return impl_->free_strain; }

Voigt Elasticity::strain_of(std::size_t cell, const Voigt &stress) const
{
  const GeneralLaw *own = law(cell);
  return own ? Voigt(own->compliance * stress) : solver::strain_of(stress, material(cell));
}

long Elasticity::edge_node(unsigned a, unsigned b) const
{
  const auto found = impl_->edges.find(edge_key(a, b));
  return found == impl_->edges.end() ? -1 : static_cast<long>(found->second);
}

std::array<unsigned, 6> Elasticity::face_nodes(const mesh::Triangle &t) const
{
  std::array<unsigned, 6> nodes{{t[0], t[1], t[2], 0, 0, 0}};
  for (int e = 0; e < 3; ++e)
  {
    const long node = edge_node(t[triangle_edges[e][0]], t[triangle_edges[e][1]]);
    if (node < 0)
      throw Error("mesh: an edge of a surface triangle is no edge of a tetrahedron");
    nodes[3 + e] = static_cast<unsigned>(node);
  }
  return nodes;
}

Eigen::Matrix<double, 30, 30> Elasticity::element_stiffness(std::size_t cell) const
{
  const GeneralLaw        *own    = law(cell);
  const IsotropicMaterial &m      = material(cell);
  const double             mu     = m.modulus_mpa / (2 * (1 + m.poisson_ratio));
  const double             lambda = 2 * mu * m.poisson_ratio / (1 - 2 * m.poisson_ratio);
  const Matrix3           &jt     = impl_->inverse_transposed[cell];
  const double             volume = impl_->volumes[cell];
  Eigen::Matrix<double, 30, 30> k;
  for (int i = 0; i < 10; ++i)
    for (int j = i; j < 10; ++j)
    {
      const Matrix3 h     = volume * (jt * reference_integrals()[i][j] * jt.transpose());
      Matrix3       block = lambda * h + mu * h.transpose();
      block.diagonal().array() += mu * h.trace();
      if (own)
        block = stiffness_block(own->stiffness, h);
      k.block<3, 3>(3 * i, 3 * j) = block;
      if (j > i)
        k.block<3, 3>(3 * j, 3 * i) = block.transpose();
    }
  return k;
}

SparseMatrix Elasticity::stiffness() const
{
  std::vector<NodeTarget> targets(n_nodes());
  for (std::size_t i = 0; i < targets.size(); ++i)
    targets[i].first = static_cast<unsigned>(i);
  std::vector<std::vector<unsigned>> elements;
  for (const Cell &cell : cells())
    elements.emplace_back(cell.begin(), cell.end());
  BlockMatrix matrix(n_nodes(), std::move(targets), elements, false);
  for (std::size_t c = 0; c < cells().size(); ++c)
    matrix.add(cells()[c].data(), 10, element_stiffness(c).data());
  return matrix.take();
}

void Elasticity::add_internal_force(const Vector &u, Vector &force) const
{
  for (std::size_t c = 0; c < cells().size(); ++c)
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      const auto           s = stress(u, c, q.barycentric);
      Matrix3              sigma;
      sigma << s[0], s[3], s[5], s[3], s[1], s[4], s[5], s[4], s[2];
      const ShapeGradients nodal = (q.weight * volume(c)) * (sigma * impl_->gradients(c, q.barycentric));
      for (int i = 0; i < 10; ++i)
        force.segment<3>(3 * cells()[c][i]) += nodal.col(i);
    }
}

void Elasticity::add_traction(const std::vector<mesh::Triangle> &triangles,
                              const std::function<Vector3(const Vector3 &, const Vector3 &)> &traction, Vector &force) const
{
  for (const mesh::Triangle &t : triangles)
  {
    const auto     nodes  = face_nodes(t);
    const Vector3  area   = 0.5 * (impl_->nodes[t[1]] - impl_->nodes[t[0]]).cross(impl_->nodes[t[2]] - impl_->nodes[t[0]]);
    const Vector3  normal = area.normalized();
    for (const TrianglePoint &q : reference_element().traction_points)
    {
      Vector3 x = Vector3::Zero();
      for (int i = 0; i < 3; ++i)
        x += q.barycentric(i) * impl_->nodes[t[i]];
      const Vector3 load = q.weight * area.norm() * traction(x, normal);
      for (int i = 0; i < 6; ++i)
        force.segment<3>(3 * nodes[i]) += q.shape(i) * load;
    }
  }
}

void Elasticity::add_body_force(const std::function<Vector3(const Vector3 &)> &force_per_volume, Vector &force) const
{
  for (std::size_t c = 0; c < cells().size(); ++c)
    for (const TetrahedronPoint &q : reference_element().load_points)
    {
      Vector3 x = Vector3::Zero();
      for (int i = 0; i < 4; ++i)
        x += q.barycentric(i) * impl_->nodes[cells()[c][i]];
      const Vector3 load = q.weight * volume(c) * force_per_volume(x);
      for (int i = 0; i < 10; ++i)
        force.segment<3>(3 * cells()[c][i]) += q.shape(i) * load;
    }
}

namespace
{
// h(a, b) = du_a / dx_b.
std::array<double, 6> hooke(const Matrix3 &h, const IsotropicMaterial &m)
{
  const double mu     = m.modulus_mpa / (2 * (1 + m.poisson_ratio));
  const double volume = 2 * mu * m.poisson_ratio / (1 - 2 * m.poisson_ratio) * h.trace();
  return {{2 * mu * h(0, 0) + volume, 2 * mu * h(1, 1) + volume, 2 * mu * h(2, 2) + volume, mu * (h(0, 1) + h(1, 0)),
           mu * (h(1, 2) + h(2, 1)), mu * (h(0, 2) + h(2, 0))}};
}
} // namespace

std::array<double, 6> Elasticity::Implementation::stress(Matrix3 h, std::size_t cell, const Eigen::Vector4d &b) const
{
  if (!free_strain.empty())
    for (int i = 0; i < 4; ++i)
      h.diagonal().array() -= b(i) * free_strain[cells[cell][i]];
  const GeneralLaw *own = law(cell);
  if (!own)
    return hooke(h, materials[cell]);
  std::array<double, 6> s;
  Eigen::Map<Voigt>(s.data()) = own->stiffness * (Voigt() << h(0, 0), h(1, 1), h(2, 2), h(0, 1) + h(1, 0), h(1, 2) + h(2, 1), h(0, 2) + h(2, 0)).finished();
  return s;
}

void Elasticity::set_free_strain(std::vector<double> at_vertices)
{
  if (at_vertices.size() != mesh().points.size())
    throw Error("elasticity: " + std::to_string(at_vertices.size()) + " free strains for " + std::to_string(mesh().points.size()) + " vertices");
  impl_->free_strain = std::move(at_vertices);
}

void Elasticity::add_free_strain(Vector &force) const
{
  // What the elements of a body that does not move need is minus the load.
  Vector held = Vector::Zero(force.size());
  add_internal_force(Vector::Zero(force.size()), held);
  force -= held;
}

std::array<double, 6> Elasticity::stress(const Vector &u, std::size_t cell, const Eigen::Vector4d &barycentric) const
{
  const ShapeGradients g = impl_->gradients(cell, barycentric);
  Matrix3              h = Matrix3::Zero();
  for (int i = 0; i < 10; ++i)
    h += u.segment<3>(3 * cells()[cell][i]) * g.col(i).transpose();
  return impl_->stress(h, cell, barycentric);
}

CornerStress Elasticity::corner_stress(const Vector &u, std::size_t cell) const
{
  Eigen::Matrix<double, 3, 10> nodal;
  for (int i = 0; i < 10; ++i)
    nodal.col(i) = u.segment<3>(3 * cells()[cell][i]);
  const Matrix3 to_space = impl_->inverse_transposed[cell].transpose();
  CornerStress  stress;
  for (int c = 0; c < 4; ++c)
  {
    const Matrix3 reference = nodal * reference_element().corner_gradients[c].transpose();
    stress[c]               = impl_->stress(reference * to_space, cell, Eigen::Vector4d::Unit(c));
  }
  return stress;
}
} // namespace stifle::solver
