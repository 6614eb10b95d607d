#include "solver/construct_system.h"
#include "models/core/error.h"
#include "models/core/parallel.h"
#include "solver/dense.h"
#include "solver/reference_element.h"
#include "solver/support_springs.h"
#include <algorithm>
#include <chrono>
#include <future>

namespace stifle::solver
{
namespace
{
constexpr double held_n_per_mm = 1e3; // artificial, taken out again; of the order of a construct's stiffness

class Clock
{
public:
  double lap()
  {
    const auto   now     = std::chrono::steady_clock::now();
    const double seconds = std::chrono::duration<double>(now - last_).count();
    last_                = now;
    return seconds;
  }

private:
  std::chrono::steady_clock::time_point last_ = std::chrono::steady_clock::now();
};

std::vector<std::vector<unsigned>> lists_of(const std::vector<Cell> &cells)
{
  std::vector<std::vector<unsigned>> lists;
  for (const Cell &cell : cells)
    lists.emplace_back(cell.begin(), cell.end());
  return lists;
}
} // namespace

ConstructSystem::ConstructSystem(const Elasticity &elasticity, const CutFaces &cut, const PlainHeads &heads,
                                 const ConstructMaterials &materials, const std::vector<IsotropicMaterial> &part_materials, int threads)
  : elasticity_(elasticity), cut_(cut), heads_(heads), bonded_threads_(materials.bonded_threads)
{
  Clock clock;
  double stiffest = 0;
  for (const IsotropicMaterial &m : part_materials)
    stiffest = std::max(stiffest, m.modulus_mpa);
  pin_stiffness_ = stiffest; // times 1 mm
  threads_       = thread_faces(elasticity, materials);
  for (const CutFaces::Pair &pair : cut_.pairs())
    slots_.push_back(pair.distal);
  for (const PlainHead &head : heads_.list())
    slots_.insert(slots_.end(), head.slots, head.slots + 2);
  if (bonded_threads_ && slots_.size() > cut_.n_cut_pairs())
    throw Error("construct: tied threads go with neither plain heads nor a plate that presses");
  k0_      = floats() ? held_n_per_mm : 0;
  targets_ = make_targets();
  auto lists = lists_of(elasticity.cells());
  for (const ThreadFace &t : threads_)
    lists.emplace_back(t.nodes.begin(), t.nodes.end());
  BlockMatrix matrix(elasticity.n_nodes(), targets_, lists, true);
  // METIS needs the pattern alone: it goes on beside the assembly.
  auto order = std::async(std::launch::async, [&] { return elimination_order(matrix.graph()); });
  assemble(matrix);
  timing_.push_back({"assemble", clock.lap()});
  factor(matrix, order.get(), clock.lap(), threads);
}

std::vector<char> ConstructSystem::used_nodes() const
{
  std::vector<char> used(elasticity_.n_nodes(), 0);
  for (const NodeTarget &t : targets_)
  {
    used[t.first] = 1;
    for (const NodeTarget::Term &term : t.more)
      used[term.node] = 1;
  }
  return used;
}

// The slots of the cut and of the heads come last.
std::vector<unsigned> ConstructSystem::elimination_order(const NodeGraph &graph) const
{
  std::vector<char> interior = used_nodes();
  for (const unsigned slot : slots_)
    interior[slot] = 0;
  std::vector<unsigned> order = metis_order(graph, interior);
  order.insert(order.end(), slots_.begin(), slots_.end());
  return order;
}

// Without screws of one plate in both segments nothing but contact holds them together.
bool ConstructSystem::floats() const
{
  if (cut_.n_cut_pairs() == 0)
    return false;
  const auto &parts = elasticity_.mesh().parts;
  if (std::find(parts.begin(), parts.end(), "plate") == parts.end())
    return true;
  bool screwed[2] = {false, false};
  for (const mesh::FacePair &face : elasticity_.mesh().threads)
  {
    const unsigned component = elasticity_.mesh().component.at(face.part_b);
    if (component < 2)
      screwed[component] = true;
  }
  return !(screwed[0] && screwed[1]);
}

std::vector<NodeTarget> ConstructSystem::make_targets() const
{
  std::vector<NodeTarget> targets(elasticity_.n_nodes());
  for (std::size_t i = 0; i < targets.size(); ++i)
    targets[i].first = static_cast<unsigned>(i);
  for (const CutFaces::Pair &pair : cut_.pairs())
  {
    targets[pair.distal].first = pair.proximal;
    targets[pair.distal].more  = {{pair.distal, pair.frame}}; // its slot holds w
  }
  for (const CutFaces::Middle &middle : cut_.middles())
  {
    targets[middle.distal].first = middle.proximal;
    for (const unsigned end : middle.ends)
      targets[middle.distal].more.push_back({cut_.pairs()[end].distal, 0.5 * cut_.pairs()[end].frame});
  }
  tie_heads(targets);
  if (bonded_threads_)
    for (const ThreadFace &t : threads_)
      for (int i = 0; i < 6; ++i)
        targets[t.nodes[i]] = targets[t.nodes[6 + i]];
  return targets;
}

// A seat node of the head moves with the plate and by the six unknowns of its head.
void ConstructSystem::tie_heads(std::vector<NodeTarget> &targets) const
{
  for (const PlainHead &head : heads_.list())
    for (const PlainHead::Node &node : head.nodes)
    {
      if (targets[node.plate].first != node.plate || targets[node.head].first != node.head)
        throw Error("construct: a seat of a plain head meets the cut or the bone");
      targets[node.head].first = node.plate;
      targets[node.head].more  = {{head.slots[0], head.axes}, {head.slots[1], head.turning(elasticity_.nodes()[node.head])}};
    }
}

void ConstructSystem::assemble(BlockMatrix &matrix) const
{
  for (std::size_t c = 0; c < elasticity_.cells().size(); ++c)
    matrix.add(elasticity_.cells()[c].data(), 10, elasticity_.element_stiffness(c).data());
  if (!bonded_threads_)
    for (const ThreadFace &t : threads_)
      matrix.add(t.nodes.data(), 12, thread_stiffness(t.stiffness_area).data());
  for (const NodeSpring &pin : rigid_pins(elasticity_.mesh()))
  {
    const Matrix3 k = pin_stiffness_ * pin.stiffness;
    matrix.add(&pin.node, 1, k.data());
  }
}

void ConstructSystem::factor(BlockMatrix &matrix, const std::vector<unsigned> &order, double waited_seconds, int threads)
{
  Clock        clock;
  SparseMatrix lower = without_empty_slots(matrix.take(), used_nodes());
  const Vector k0 = free_k0();
  for (Eigen::Index i = 0; i < k0.size(); ++i)
    if (const int at = compact_[3 * slots_[i / 3] + i % 3]; k0(i) > 0)
      lower.coeffRef(at, at) += k0(i);
  std::vector<int> unknowns;
  for (const unsigned node : order)
    for (int c = 0; c < 3; ++c)
      unknowns.push_back(compact_[3 * node + c]);
  const double order_seconds = waited_seconds + clock.lap();
  factor_                    = std::make_unique<CholmodFactor>(lower, unknowns, threads);
  timing_.push_back({"analyse", order_seconds + factor_->analyse_seconds});
  timing_.push_back({"factor", factor_->factor_seconds});
  clock.lap();
  find_cut_block();
  timing_.push_back({"condense", clock.lap()});
}

// Slots of tied screw nodes and of mid-edges of the cut are empty: they are left out.
SparseMatrix ConstructSystem::without_empty_slots(SparseMatrix full, const std::vector<char> &used)
{
  compact_.assign(3 * used.size(), -1);
  for (std::size_t i = 0; i < 3 * used.size(); ++i)
    if (used[i / 3])
    {
      compact_[i] = static_cast<int>(unknown_of_.size());
      unknown_of_.push_back(static_cast<int>(i));
    }
  if (unknown_of_.size() == 3 * used.size())
    return full;
  std::vector<int> start{0};
  for (const int u : unknown_of_)
    start.push_back(full.outerIndexPtr()[u + 1]);
  SparseMatrix lower(static_cast<int>(unknown_of_.size()), static_cast<int>(unknown_of_.size()));
  lower.resizeNonZeros(full.nonZeros());
  for (int k = 0; k < full.nonZeros(); ++k)
    lower.innerIndexPtr()[k] = compact_[full.innerIndexPtr()[k]];
  std::copy(full.valuePtr(), full.valuePtr() + full.nonZeros(), lower.valuePtr());
  std::copy(start.begin(), start.end(), lower.outerIndexPtr());
  return lower;
}

// Which entry of w each of the last unknowns is, and the block of the factor they share.
void ConstructSystem::find_cut_block()
{
  std::vector<int> entry(compact_.size(), -1);
  for (std::size_t p = 0; p < slots_.size(); ++p)
    for (int c = 0; c < 3; ++c)
      entry[3 * slots_[p] + c] = static_cast<int>(3 * p) + c;
  const int n_w = static_cast<int>(3 * slots_.size()), n_all = static_cast<int>(unknown_of_.size());
  for (int k = n_all - n_w; k < n_all; ++k)
  {
    w_slot_.push_back(entry[unknown_of_[factor_->unknown(k)]]);
    if (w_slot_.back() < 0)
      throw Error("construct: CHOLMOD moved the cut away from the end of the elimination");
  }
  lower_ = factor_->trailing(n_w);
}

Eigen::MatrixXd ConstructSystem::condense(const Eigen::MatrixXd &nodal) const
{
  Eigen::MatrixXd b = Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(unknown_of_.size()), nodal.cols());
  for (Eigen::Index k = 0; k < nodal.cols(); ++k)
    for (std::size_t i = 0; i < targets_.size(); ++i)
    {
      const NodeTarget &t = targets_[i];
      const Vector3     f = nodal.col(k).segment<3>(3 * i);
      b.col(k).segment<3>(compact_[3 * t.first]) += f;
      for (const NodeTarget::Term &term : t.more)
        b.col(k).segment<3>(compact_[3 * term.node]) += term.matrix.transpose() * f;
    }
  return factor_->forward(b);
}

Vector ConstructSystem::cut_load(const Vector &condensed) const
{
  const Eigen::Index n_w = lower_.rows();
  const Vector       g   = lower_.triangularView<Eigen::Lower>() * condensed.tail(n_w);
  Vector             load(n_w);
  for (Eigen::Index k = 0; k < n_w; ++k)
    load(w_slot_[k]) = g(k);
  return load;
}

Eigen::MatrixXd ConstructSystem::expand(Eigen::MatrixXd condensed, const Eigen::MatrixXd &w) const
{
  const Eigen::Index n_w = lower_.rows();
  Eigen::MatrixXd    permuted(n_w, w.cols());
  for (Eigen::Index k = 0; k < n_w; ++k)
    permuted.row(k) = w.row(w_slot_[k]);
  if (n_w > 0) // a construct without a cut: Eigen 3.4 takes the address of the first entry of an empty product
    condensed.bottomRows(n_w) = lower_.transpose().triangularView<Eigen::Upper>() * permuted;
  const Eigen::MatrixXd x   = factor_->backward(condensed);
  Eigen::MatrixXd       u(3 * targets_.size(), x.cols());
  for (Eigen::Index k = 0; k < x.cols(); ++k)
    for (std::size_t i = 0; i < targets_.size(); ++i)
    {
      const NodeTarget &t = targets_[i];
      Vector3           u_node = x.col(k).segment<3>(compact_[3 * t.first]);
      for (const NodeTarget::Term &term : t.more)
        u_node += term.matrix * x.col(k).segment<3>(compact_[3 * term.node]);
      u.col(k).segment<3>(3 * i) = u_node;
    }
  return u;
}

const Eigen::MatrixXd &ConstructSystem::condensed_stiffness()
{
  const std::lock_guard<std::mutex> lock(making_stiffness_);
  if (stiffness_.size() > 0)
    return stiffness_;
  const int             n_w     = static_cast<int>(w_slot_.size());
  const Eigen::MatrixXd product = lower_times_transpose(lower_);
  stiffness_.resize(n_w, n_w);
  for (int j = 0; j < n_w; ++j)
    for (int i = 0; i < n_w; ++i)
      stiffness_(w_slot_[i], w_slot_[j]) = product(i, j);
  return stiffness_;
}

Vector ConstructSystem::free_k0() const
{
  if (k0_ == 0 && heads_.list().empty())
    return Vector();
  Vector k0 = heads_.list().empty() ? Vector(Vector::Zero(n_w())) : stuck_k0();
  k0.head(3 * cut_.n_cut_pairs()).setConstant(k0_);
  return k0;
}

Vector ConstructSystem::stuck_k0() const
{
  if (heads_.list().empty())
    return Vector();
  Vector k0                     = Vector::Zero(n_w());
  k0.tail(heads_.n_unknowns()) = heads_.holding(held_n_per_mm);
  return k0;
}

Eigen::MatrixXd ConstructSystem::with_faces(const Eigen::MatrixXd &faces)
{
  Eigen::MatrixXd s = condensed_stiffness();
  s.topLeftCorner(faces.rows(), faces.cols()) += faces;
  return s;
}

Eigen::MatrixXd ConstructSystem::inverse(Eigen::MatrixXd s, bool bonded) const
{
  if (!bonded)
    return inverse_spd(std::move(s));
  const Eigen::Index n = s.rows() - static_cast<Eigen::Index>(3 * cut_.n_cut_pairs());
  Eigen::MatrixXd    c = Eigen::MatrixXd::Zero(s.rows(), s.rows());
  c.bottomRightCorner(n, n) = inverse_spd(s.bottomRightCorner(n, n));
  return c;
}

Vector ConstructSystem::times_w(const Vector &w) const
{
  Vector permuted(w.size()), product(w.size());
  for (Eigen::Index k = 0; k < w.size(); ++k)
    permuted(k) = w(w_slot_[k]);
  const Vector half = lower_.transpose().triangularView<Eigen::Upper>() * permuted;
  const Vector full = lower_.triangularView<Eigen::Lower>() * half;
  for (Eigen::Index k = 0; k < w.size(); ++k)
    product(w_slot_[k]) = full(k);
  return product;
}

template <class Make> const Eigen::MatrixXd &ConstructSystem::kept(Inverse &inverse, const Inverse::Law &law, Make make)
{
  const std::lock_guard<std::mutex> lock(inverse.making);
  if (inverse.law != law)
  {
    inverse.matrix.resize(0, 0); // its memory first
    inverse.matrix = make();
    inverse.law    = law;
  }
  return inverse.matrix;
}

const Eigen::MatrixXd &ConstructSystem::compliance(const CutLaw &law)
{
  return kept(free_, {{law.callus_normal, law.callus_tangential, 0, law.bonded ? 1.0 : 0.0, 0}},
              [&] { return inverse(with_faces(cut_.callus(law.callus_normal, law.callus_tangential)), law.bonded); });
}

const Eigen::MatrixXd &ConstructSystem::stuck_compliance(const CutLaw &law)
{
  const bool   gap     = law.gap_mm != 0;
  const double contact = law.contact_stiffness, springs = gap ? 0 : contact;
  const Inverse::Law wanted{
    {law.callus_normal, law.callus_tangential, contact, law.bonded ? 1.0 : 0.0, gap ? 1.0 : 0.0}};
  return kept(stuck_, wanted, [&] {
    Eigen::MatrixXd s = with_faces(cut_.callus(law.callus_normal + springs, law.callus_tangential + springs, contact));
    s.diagonal().head(3 * cut_.n_cut_pairs()).array() -= k0_;
    return inverse(std::move(s), law.bonded);
  });
}

void ConstructSystem::prepare(const CutLaw &law, int threads)
{
  std::vector<std::function<void()>> wanted;
  if (free_.matrix.size() > 0)
    wanted.push_back([&] { compliance(law); });
  if (stuck_.matrix.size() > 0)
    wanted.push_back([&] { stuck_compliance(law); });
  condensed_stiffness();
  for_each_index(wanted.size(), threads, [&](std::size_t i) { wanted[i](); });
}

void ConstructSystem::add_thread_force(const Vector &u, Eigen::Ref<Vector> nodal) const
{
  if (!bonded_threads_)
  {
    solver::add_thread_force(threads_, u, nodal);
    return;
  }
  // Tied: what the elements of plate and screws need at the thread nodes, opposite on the bone.
  Vector internal = Vector::Zero(u.size());
  elasticity_.add_internal_force(u, internal);
  std::vector<char> done(elasticity_.n_nodes(), 0);
  for (const ThreadFace &t : threads_)
    for (int i = 0; i < 6; ++i)
      if (!done[t.nodes[i]])
      {
        done[t.nodes[i]] = 1;
        nodal.segment<3>(3 * t.nodes[i]) += internal.segment<3>(3 * t.nodes[i]);
        nodal.segment<3>(3 * t.nodes[6 + i]) -= internal.segment<3>(3 * t.nodes[i]);
      }
}
} // namespace stifle::solver
