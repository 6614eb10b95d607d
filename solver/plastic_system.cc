#include "solver/plastic_system.h"
#include "models/core/error.h"
#include "solver/cut_contact.h"

namespace stifle::solver
{
namespace
{
Voigt strain_of(const Eigen::Matrix<double, 3, 10> &nodal, const ShapeGradients &g)
{
  const Matrix3 h = nodal * g.transpose();
  return (Voigt() << h(0, 0), h(1, 1), h(2, 2), h(0, 1) + h(1, 0), h(1, 2) + h(2, 1), h(0, 2) + h(2, 0)).finished();
}

Matrix3 matrix_of(const Voigt &s) { return (Matrix3() << s(0), s(3), s(5), s(3), s(1), s(4), s(5), s(4), s(2)).finished(); }

// Strain of the 30 nodal displacements.
Eigen::Matrix<double, 6, 30> strain_matrix(const ShapeGradients &g)
{
  Eigen::Matrix<double, 6, 30> b = Eigen::Matrix<double, 6, 30>::Zero();
  for (int i = 0; i < 10; ++i)
  {
    for (int c = 0; c < 3; ++c)
      b(c, 3 * i + c) = g(c, i);
    for (int c = 0; c < 3; ++c) // xy yz xz
    {
      const int first = c == 1 ? 1 : 0, second = c == 0 ? 1 : 2;
      b(3 + c, 3 * i + first) = g(second, i);
      b(3 + c, 3 * i + second) = g(first, i);
    }
  }
  return b;
}

Eigen::Matrix<double, 3, 10> nodal_of(const Vector &u, const Cell &cell)
{
  Eigen::Matrix<double, 3, 10> nodal;
  for (int i = 0; i < 10; ++i)
    nodal.col(i) = u.segment<3>(3 * cell[i]);
  return nodal;
}
} // namespace

const std::array<Eigen::Vector4d, 4> &plastic_points()
{
  static const std::array<Eigen::Vector4d, 4> points = []
  {
    const double b = (5 - std::sqrt(5.0)) / 20;
    std::array<Eigen::Vector4d, 4> p;
    for (int q = 0; q < 4; ++q)
      p[q] = Eigen::Vector4d::Constant(b) + (1 - 4 * b) * Eigen::Vector4d::Unit(q);
    return p;
  }();
  return points;
}

PlasticSystem::PlasticSystem(const PlasticProblem &problem) : problem_(problem)
{
  const Elasticity &e = problem.elasticity;
  if (problem.materials.size() < e.mesh().parts.size())
    throw Error("plasticity: a part has no material");
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    const PlasticMaterial &m = problem.materials[e.mesh().part[c]];
    if (e.has_own_materials() && !m.flows()) // the elasticity's law alone counts there
      continue;
    if (e.law(c) || m.modulus_mpa != e.material(c).modulus_mpa || m.poisson_ratio != e.material(c).poisson_ratio)
      throw Error("plasticity: part " + e.mesh().parts[e.mesh().part[c]] + " has another elastic material than the elasticity");
  }
  for (const PlasticMaterial &m : problem.materials)
    elasticity_.push_back(solver::elastic_tangent(m));
  make_targets();
  collect_cells();
  assemble_elastic();
  number_unknowns();
  force_ = problem.force.size() > 0 ? project(problem.force) : Vector(Vector::Zero(3 * e.n_nodes()));
}

void PlasticSystem::make_targets()
{
  targets_.resize(problem_.elasticity.n_nodes());
  for (std::size_t i = 0; i < targets_.size(); ++i)
    targets_[i].first = static_cast<unsigned>(i);
  if (!problem_.cut)
    return;
  for (const CutFaces::Pair &pair : problem_.cut->pairs())
  {
    targets_[pair.distal].first = pair.proximal;
    targets_[pair.distal].more = {{pair.distal, pair.frame}}; // its slot holds w
    targets_.push_back({pair.distal, {}});
  }
  for (const CutFaces::Middle &middle : problem_.cut->middles())
  {
    targets_[middle.distal].first = middle.proximal;
    for (const unsigned end : middle.ends)
      targets_[middle.distal].more.push_back({problem_.cut->pairs()[end].distal, 0.5 * problem_.cut->pairs()[end].frame});
  }
}

void PlasticSystem::collect_cells()
{
  const Elasticity &e = problem_.elasticity;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    if (!problem_.materials[e.mesh().part[c]].flows())
      continue;
    Matrix3 jacobian;
    for (int d = 0; d < 3; ++d)
      jacobian.col(d) = e.nodes()[e.cells()[c][d + 1]] - e.nodes()[e.cells()[c][0]];
    const Matrix3 to_space = jacobian.inverse().transpose();
    PlasticCell cell{c, e.mesh().part[c], {}, e.volume(c) / 4, {}, {}, false};
    for (int q = 0; q < 4; ++q)
      cell.gradients[q] = to_space * reference_element().gradients(plastic_points()[q]);
    cells_.push_back(cell);
  }
}

void PlasticSystem::assemble_elastic()
{
  const Elasticity &e = problem_.elasticity;
  const unsigned n_nodes = static_cast<unsigned>(e.n_nodes());
  std::vector<std::vector<unsigned>> lists;
  for (const Cell &cell : e.cells())
    lists.emplace_back(cell.begin(), cell.end());
  for (const LinearSpring &spring : problem_.springs)
    lists.push_back(spring.nodes);
  if (problem_.cut)
    for (const CutFaces::Face &f : problem_.cut->faces())
      lists.push_back({n_nodes + f.pair[0], n_nodes + f.pair[1], n_nodes + f.pair[2]});
  elastic_ = std::make_unique<BlockMatrix>(n_nodes, targets_, lists, true);
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    elastic_->add(e.cells()[c].data(), 10, e.element_stiffness(c).data());
  for (const LinearSpring &spring : problem_.springs)
    elastic_->add(spring.nodes.data(), static_cast<int>(spring.nodes.size()), spring.stiffness.data());
  if (touches())
    for (const CutFaces::Face &f : problem_.cut->faces())
    {
      const unsigned slots[3] = {n_nodes + f.pair[0], n_nodes + f.pair[1], n_nodes + f.pair[2]};
      Eigen::MatrixXd callus = Eigen::MatrixXd::Zero(9, 9);
      for (int i = 0; i < 9; ++i)
        for (int j = i % 3; j < 9; j += 3)
          callus(i, j) =
              f.area * (i == j ? 2 : 1) / 12 * (i % 3 == 0 ? problem_.law.callus_normal : problem_.law.callus_tangential);
      elastic_->add(slots, 3, callus.data());
    }
  stiffness_ = BlockMatrix(*elastic_).take();
}

void PlasticSystem::number_unknowns()
{
  const std::size_t n_nodes = problem_.elasticity.n_nodes();
  std::vector<char> used(n_nodes, 0);
  for (std::size_t i = 0; i < n_nodes; ++i)
  {
    used[targets_[i].first] = 1;
    for (const NodeTarget::Term &term : targets_[i].more)
      used[term.node] = !problem_.law.bonded;
  }
  std::vector<char> is_free(3 * n_nodes);
  for (std::size_t i = 0; i < is_free.size(); ++i)
    is_free[i] = used[i / 3];
  for (const Fixed &f : problem_.fixed)
  {
    if (targets_.at(f.node).first != f.node)
      throw Error("plasticity: a node on the distal side of the cut cannot be prescribed");
    is_free.at(3 * f.node + f.component) = 0;
  }
  number_.assign(3 * n_nodes, -1);
  for (std::size_t i = 0; i < is_free.size(); ++i)
    if (is_free[i])
    {
      number_[i] = static_cast<int>(free_.size());
      free_.push_back(static_cast<int>(i));
    }
  for (const unsigned node : metis_order(elastic_->graph(), used))
    for (int c = 0; c < 3; ++c)
      if (number_[3 * node + c] >= 0)
        order_.push_back(number_[3 * node + c]);
}

void PlasticSystem::set_fixed(double factor, Vector &x) const
{
  for (const Fixed &f : problem_.fixed)
    x(3 * f.node + f.component) = factor * f.value_mm;
}

Vector PlasticSystem::free_part(const Vector &x) const
{
  Vector part(free_.size());
  for (std::size_t k = 0; k < free_.size(); ++k)
    part(k) = x(free_[k]);
  return part;
}

void PlasticSystem::add_to_free(double scale, const Vector &change, Vector &x) const
{
  for (std::size_t k = 0; k < free_.size(); ++k)
    x(free_[k]) += scale * change(k);
}

Vector PlasticSystem::project(const Vector &nodal) const
{
  Vector b = Vector::Zero(nodal.size());
  for (Eigen::Index i = 0; i < nodal.size() / 3; ++i)
  {
    b.segment<3>(3 * targets_[i].first) += nodal.segment<3>(3 * i);
    for (const NodeTarget::Term &term : targets_[i].more)
      b.segment<3>(3 * term.node) += term.matrix.transpose() * nodal.segment<3>(3 * i);
  }
  return b;
}

Vector PlasticSystem::displacement(const Vector &x) const
{
  Vector u(x.size());
  for (Eigen::Index i = 0; i < x.size() / 3; ++i)
  {
    u.segment<3>(3 * i) = x.segment<3>(3 * targets_[i].first);
    for (const NodeTarget::Term &term : targets_[i].more)
      u.segment<3>(3 * i) += term.matrix * x.segment<3>(3 * term.node);
  }
  return u;
}

Vector PlasticSystem::unknowns(const Vector &u) const
{
  if (u.size() != n_unknowns())
    throw Error("plasticity: the displacement to start from is that of another mesh");
  Vector x = u;
  if (problem_.cut)
  {
    for (const CutFaces::Middle &middle : problem_.cut->middles())
      x.segment<3>(3 * middle.distal).setZero();
    for (const CutFaces::Pair &pair : problem_.cut->pairs())
      x.segment<3>(3 * pair.distal) =
          pair.frame.transpose() * Vector3(u.segment<3>(3 * pair.distal) - u.segment<3>(3 * pair.proximal));
  }
  return x;
}

Vector PlasticSystem::relative(const Vector &x) const
{
  Vector w(3 * problem_.cut->n_pairs());
  for (std::size_t p = 0; p < problem_.cut->n_pairs(); ++p)
    w.segment<3>(3 * p) = x.segment<3>(3 * problem_.cut->pairs()[p].distal);
  return w;
}

Vector PlasticSystem::elastic_residual(const Vector &x, double factor) const
{
  return stiffness_.selfadjointView<Eigen::Lower>() * x - factor * force_;
}

Vector PlasticSystem::residual(const Vector &x, double factor)
{
  const Vector u = displacement(x);
  Vector plastic = Vector::Zero(u.size());
  for (PlasticCell &cell : cells_)
  {
    const Cell &nodes = problem_.elasticity.cells()[cell.cell];
    const auto nodal = nodal_of(u, nodes);
    ShapeGradients force = ShapeGradients::Zero();
    cell.flows = false;
    for (int q = 0; q < 4; ++q)
    {
      const PlasticAnswer a = return_map(problem_.materials[cell.part], strain_of(nodal, cell.gradients[q]), cell.old[q]);
      cell.now[q] = a.point;
      cell.flows |= a.flows;
      if (a.point.equivalent > 0)
        force += cell.volume * matrix_of(elasticity_[cell.part] * a.point.strain) * cell.gradients[q];
    }
    for (int i = 0; i < 10; ++i)
      plastic.segment<3>(3 * nodes[i]) += force.col(i);
  }
  Vector r = elastic_residual(x, factor) - project(plastic);
  if (touches())
  {
    const Vector q = problem_.cut->contact_force(relative(x), contact_law(problem_.law));
    for (std::size_t p = 0; p < problem_.cut->n_pairs(); ++p)
      r.segment<3>(3 * problem_.cut->pairs()[p].distal) += q.segment<3>(3 * p);
  }
  return r;
}

Tangent PlasticSystem::tangent(const Vector &x) const
{
  BlockMatrix matrix(*elastic_);
  const Vector u = displacement(x);
  for (const PlasticCell &cell : cells_)
  {
    if (!cell.flows)
      continue;
    const Cell &nodes = problem_.elasticity.cells()[cell.cell];
    const auto nodal = nodal_of(u, nodes);
    Eigen::Matrix<double, 30, 30> change = Eigen::Matrix<double, 30, 30>::Zero();
    for (int q = 0; q < 4; ++q)
    {
      VoigtTangent t;
      if (!return_map(problem_.materials[cell.part], strain_of(nodal, cell.gradients[q]), cell.old[q], &t).flows)
        continue;
      const auto b = strain_matrix(cell.gradients[q]);
      const Eigen::Matrix<double, 6, 30> cb = cell.volume * (t - elasticity_[cell.part]) * b;
      change.noalias() += b.transpose() * cb;
    }
    matrix.add(nodes.data(), 10, change.data());
  }
  std::vector<Eigen::MatrixXd> contact;
  if (touches())
    problem_.cut->contact_force(relative(x), contact_law(problem_.law), 0, &contact);
  return free_tangent(std::move(matrix), contact);
}

Tangent PlasticSystem::elastic_tangent() const
{
  std::vector<Eigen::MatrixXd> stuck;
  if (touches() && problem_.law.gap_mm == 0)
    for (const CutFaces::Face &f : problem_.cut->faces())
    {
      stuck.push_back(Eigen::MatrixXd::Zero(9, 9));
      for (int i = 0; i < 9; ++i)
        for (int j = i % 3; j < 9; j += 3)
          stuck.back()(i, j) = problem_.law.contact_stiffness * f.mass(i / 3, j / 3);
    }
  return free_tangent(*elastic_, stuck);
}

// The pull of the pressure on friction is not symmetric; alone it goes into `rest`.
Tangent PlasticSystem::free_tangent(BlockMatrix matrix, const std::vector<Eigen::MatrixXd> &contact) const
{
  const unsigned n_nodes = static_cast<unsigned>(problem_.elasticity.n_nodes());
  const int n = static_cast<int>(free_.size());
  std::vector<Eigen::Triplet<double>> rest;
  for (std::size_t f = 0; f < contact.size(); ++f)
  {
    if (contact[f].size() == 0)
      continue;
    const auto &pair = problem_.cut->faces()[f].pair;
    const unsigned slots[3] = {n_nodes + pair[0], n_nodes + pair[1], n_nodes + pair[2]};
    Eigen::MatrixXd symmetric = contact[f];
    for (int i = 0; i < 9; ++i)
      for (int j = 0; j < 9; ++j)
        if ((i % 3 == 0) != (j % 3 == 0))
        {
          symmetric(i, j) = 0;
          if (contact[f](i, j) != 0)
            rest.emplace_back(number_[3 * targets_[slots[i / 3]].first + i % 3],
                              number_[3 * targets_[slots[j / 3]].first + j % 3], contact[f](i, j));
        }
    matrix.add(slots, 3, symmetric.data());
  }
  const SparseMatrix full = matrix.take();
  Tangent t;
  t.lower.resize(n, n);
  t.lower.reserve(full.nonZeros());
  for (int j = 0; j < n; ++j)
  {
    t.lower.startVec(j);
    for (SparseMatrix::InnerIterator it(full, free_[j]); it; ++it)
      if (number_[it.row()] >= j)
        t.lower.insertBack(number_[it.row()], j) = it.value();
  }
  t.lower.finalize();
  t.rest.resize(n, n);
  t.rest.setFromTriplets(rest.begin(), rest.end());
  return t;
}

void PlasticSystem::accept()
{
  for (PlasticCell &cell : cells_)
    cell.old = cell.now;
}

std::vector<Voigt> PlasticSystem::mean_stress(const Vector &displacement) const
{
  const Elasticity &e = problem_.elasticity;
  std::vector<Voigt> stress(e.cells().size());
  for (std::size_t c = 0; c < stress.size(); ++c) // linear in a straight cell: the mean is the one at the centre
    stress[c] = Voigt(e.stress(displacement, c, Eigen::Vector4d::Constant(0.25)).data());
  for (const PlasticCell &cell : cells_)
    for (int q = 0; q < 4; ++q)
      stress[cell.cell] -= cell.volume / e.volume(cell.cell) * (elasticity_[cell.part] * cell.old[q].strain);
  return stress;
}

std::vector<PlasticSystem::PartSums> PlasticSystem::sums() const
{
  std::vector<PartSums> sums(problem_.elasticity.mesh().parts.size());
  for (const PlasticCell &cell : cells_)
    for (int q = 0; q < 4; ++q)
      if (cell.old[q].equivalent > 0)
      {
        sums[cell.part].plastic_volume_mm3 += cell.volume;
        sums[cell.part].peak_strain = std::max(sums[cell.part].peak_strain, cell.old[q].equivalent);
      }
  return sums;
}
} // namespace stifle::solver
