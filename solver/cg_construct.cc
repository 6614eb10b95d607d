#include "solver/cg_construct.h"
#include "models/core/error.h"
#include "solver/reference_element.h"
#include <ctime>

namespace stifle::solver
{
namespace
{
/// Of this process: on a busy machine only its own seconds tell something.
double now() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

double stiffest(const Elasticity &elasticity)
{
  double modulus = 0;
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
    modulus = std::max(modulus, elasticity.material(c).modulus_mpa);
  return modulus;
}
} // namespace

CgConstruct::CgConstruct(const Elasticity &elasticity, const CutFaces &cut, std::vector<ThreadFace> threads, const Cut &how,
                         const CgOptions &options)
  : elasticity_(elasticity), cut_(cut), threads_(std::move(threads)), options_(options), bonded_(how.bonded), targets_(elasticity.n_nodes())
{
  const auto &mesh = elasticity.mesh();
  if (!mesh.seats.empty() || !mesh.plate_contact.empty())
    throw Error("construct: conjugate gradients know neither plain heads nor a plate that presses on the bone; use --solver direct");
  make_targets(how.bonded);
  number_nodes();
  std::vector<Eigen::MatrixXd> springs;
  for (std::size_t f = 0; f < cut.faces().size() && !bonded_; ++f)
  {
    springs.push_back(Eigen::MatrixXd::Zero(9, 9));
    for (int i = 0; i < 9; ++i)
      for (int j = i % 3; j < 9; j += 3)
        springs.back()(i, j) = how.springs * cut.faces()[f].mass(i / 3, j / 3);
  }
  lay(std::move(springs));
}

void CgConstruct::lay(std::vector<Eigen::MatrixXd> faces)
{
  const double start = now();
  laid_              = std::move(faces);
  solver_.reset(); // two would need twice the memory
  solver_ = std::make_unique<CgAmg>(make_grid(coupled()), options_);
  add_all();
  assemble_seconds += now() - start;
  solver_->finish();
}

std::vector<std::vector<unsigned>> CgConstruct::coupled() const
{
  std::vector<std::vector<unsigned>> elements;
  for (const Cell &cell : elasticity_.cells())
    elements.emplace_back(cell.begin(), cell.end());
  for (const ThreadFace &t : threads_)
    elements.emplace_back(t.nodes.begin(), t.nodes.end());
  for (const CutFaces::Face &face : cut_.faces())
  {
    elements.emplace_back();
    for (const unsigned p : face.pair)
      elements.back().insert(elements.back().end(), {cut_.pairs()[p].proximal, cut_.pairs()[p].distal});
  }
  return elements;
}

Eigen::MatrixXd CgConstruct::on_nodes(const CutFaces &cut, std::size_t face, const Eigen::MatrixXd &d, std::vector<unsigned> &nodes)
{
  Eigen::Matrix<double, 9, 18> g = Eigen::Matrix<double, 9, 18>::Zero();
  nodes.clear();
  for (int i = 0; i < 3; ++i)
  {
    const CutFaces::Pair &pair = cut.pairs()[cut.faces()[face].pair[i]];
    nodes.insert(nodes.end(), {pair.proximal, pair.distal});
    g.block<3, 3>(3 * i, 6 * i)     = -pair.frame.transpose();
    g.block<3, 3>(3 * i, 6 * i + 3) = pair.frame.transpose();
  }
  return g.transpose() * d * g;
}

void CgConstruct::make_targets(bool bonded)
{
  for (std::size_t i = 0; i < targets_.size(); ++i)
    targets_[i].first = static_cast<unsigned>(i);
  for (const CutFaces::Pair &pair : cut_.pairs())
    if (bonded)
      targets_[pair.distal].first = pair.proximal;
  for (const CutFaces::Middle &middle : cut_.middles())
  {
    NodeTarget &t = targets_[middle.distal];
    t.first       = middle.proximal;
    for (int i = 0; i < 2 && !bonded; ++i)
    {
      t.more.push_back({cut_.pairs()[middle.ends[i]].distal, 0.5 * Matrix3::Identity()});
      t.more.push_back({cut_.pairs()[middle.ends[i]].proximal, -0.5 * Matrix3::Identity()});
    }
  }
}

void CgConstruct::number_nodes()
{
  number_.assign(targets_.size(), -1);
  for (std::size_t i = 0; i < targets_.size(); ++i)
    if (targets_[i].first == i)
    {
      number_[i] = static_cast<int>(node_of_.size());
      node_of_.push_back(static_cast<unsigned>(i));
    }
}

// Vertices come first, so the number of a vertex is also that of its coarse node.
CgGrid CgConstruct::make_grid(const std::vector<std::vector<unsigned>> &elements) const
{
  CgGrid grid;
  for (const unsigned node : node_of_)
  {
    grid.nodes.push_back(elasticity_.nodes()[node]);
    grid.parents.push_back({number_[node], number_[node]});
  }
  const auto vertex = [&](unsigned node) { return number_[targets_[node].first]; };
  for (const Cell &cell : elasticity_.cells())
    for (int e = 0; e < 6; ++e)
      if (const int k = number_[cell[4 + e]]; k >= 0)
        grid.parents[k] = {vertex(cell[tetrahedron_edges[e][0]]), vertex(cell[tetrahedron_edges[e][1]])};
  const NodeGraph all = node_graph(targets_.size(), targets_, elements);
  for (const unsigned node : node_of_)
  {
    grid.graph.emplace_back();
    for (const unsigned other : all[node])
      grid.graph.back().push_back(static_cast<unsigned>(number_[other]));
  }
  return grid;
}

// Nodes that follow others hand their rows and columns on.
void CgConstruct::add(const unsigned *nodes, int n, const double *matrix)
{
  std::vector<unsigned> list;
  std::vector<int>      at; // per node: place in the list, -1: it follows
  bool                  plain = true;
  const auto            place = [&](unsigned node) {
    const unsigned k     = static_cast<unsigned>(number_[node]);
    const auto     found = std::find(list.begin(), list.end(), k);
    if (found != list.end())
    {
      plain = false;
      return static_cast<int>(found - list.begin());
    }
    list.push_back(k);
    return static_cast<int>(list.size()) - 1;
  };
  std::vector<std::vector<std::pair<int, double>>> made(n);
  for (int i = 0; i < n; ++i)
  {
    const NodeTarget &t = targets_[nodes[i]];
    made[i].push_back({place(t.first), 1.0});
    for (const NodeTarget::Term &term : t.more)
      made[i].push_back({place(term.node), term.matrix(0, 0)});
    plain = plain && t.more.empty();
  }
  if (solver_->process() != solver_->owner(list[0]))
    return;
  if (plain)
    return solver_->add(list.data(), n, matrix);
  const Eigen::Map<const Eigen::MatrixXd> m(matrix, 3 * n, 3 * n);
  const int                               k = static_cast<int>(list.size());
  Eigen::MatrixXd half = Eigen::MatrixXd::Zero(3 * n, 3 * k), sum = Eigen::MatrixXd::Zero(3 * k, 3 * k);
  for (int i = 0; i < n; ++i)
    for (const auto &[to, weight] : made[i])
      half.middleCols<3>(3 * to) += weight * m.middleCols<3>(3 * i);
  for (int i = 0; i < n; ++i)
    for (const auto &[to, weight] : made[i])
      sum.middleRows<3>(3 * to) += weight * half.middleRows<3>(3 * i);
  solver_->add(list.data(), k, sum.data());
}

void CgConstruct::add_all()
{
  for (std::size_t c = 0; c < elasticity_.cells().size(); ++c)
    if (const Cell &cell = elasticity_.cells()[c]; solver_->owner(number_[targets_[cell[0]].first]) == solver_->process())
      add(cell.data(), 10, elasticity_.element_stiffness(c).data());
  for (const ThreadFace &t : threads_)
    add(t.nodes.data(), 12, thread_stiffness(t.stiffness_area).data());
  const double pin_stiffness = stiffest(elasticity_); // times 1 mm
  for (const NodeSpring &pin : rigid_pins(elasticity_.mesh()))
  {
    const Matrix3 k = pin_stiffness * pin.stiffness;
    add(&pin.node, 1, k.data());
  }
  std::vector<unsigned> nodes;
  for (std::size_t f = 0; f < laid_.size(); ++f)
    if (laid_[f].size() > 0)
    {
      const Eigen::MatrixXd k = on_nodes(cut_, f, laid_[f], nodes);
      add(nodes.data(), 6, k.data());
    }
}

Vector CgConstruct::reduce(const Vector &nodal) const
{
  Vector f = Vector::Zero(3 * node_of_.size());
  for (std::size_t i = 0; i < targets_.size(); ++i)
  {
    const Vector3 force = nodal.segment<3>(3 * i);
    f.segment<3>(3 * number_[targets_[i].first]) += force;
    for (const NodeTarget::Term &term : targets_[i].more)
      f.segment<3>(3 * number_[term.node]) += term.matrix(0, 0) * force;
  }
  return f;
}

Vector CgConstruct::expand(const Vector &x) const
{
  Vector u(3 * targets_.size());
  for (std::size_t i = 0; i < targets_.size(); ++i)
  {
    u.segment<3>(3 * i) = x.segment<3>(3 * number_[targets_[i].first]);
    for (const NodeTarget::Term &term : targets_[i].more)
      u.segment<3>(3 * i) += term.matrix(0, 0) * x.segment<3>(3 * number_[term.node]);
  }
  return u;
}
} // namespace stifle::solver
