#include "solver/construct_model.h"
#include "models/core/error.h"
#include "models/core/parallel.h"
#include "solver/block_loads.h"
#include "solver/block_stress.h"
#include "solver/bone_law.h"
#include "solver/construct_results.h"
#include "solver/construct_system.h"
#include "solver/cut_contact.h"
#include "solver/screw_shaft.h"
#include <chrono>

namespace stifle::solver
{
namespace
{
std::vector<double> part_yields(const mesh::TetMesh &mesh, const ConstructMaterials &m)
{
  std::vector<double> list;
  for (const std::string &part : mesh.parts)
    list.push_back(material_of(part, m).yield_mpa);
  return list;
}

} // namespace

struct ConstructModel::Implementation
{
  const mesh::ConstructMesh &construct;
  Vector3                    hock_centre;
  Vector3                    axis; ///< hock centre to intercondylar point
  Elasticity                 elasticity;
  CutFaces                   cut; ///< and the plate where it presses
  PlainHeads                 heads;
  ConstructSystem            system;
  PeakTable                  peaks;
  SegmentTurn                turn;
  ScrewSections              screws;
  ScrewShafts                shafts;
  Patch                      talar;
  CutContact                 contact;
  BlockLoads                 loads;
  BlockStress                block_stress;
  std::size_t                n_moved = 0;
  std::vector<ConstructModel::Timing> seconds{{"loads", 0}, {"contact", 0}, {"displacement", 0}, {"stress", 0}};
  // Of the last block: its law, the contact of every state and the state each one follows.
  CutLaw                     law;
  std::vector<CutState>      touched;
  std::vector<int>           follows;
  // Of its last state.
  Vector                     displacement, nodal_force;
  bool                       cut_force_missing = false;
  bool                       stress_missing = false;
  RecoveredStress            stress;

  Implementation(const mesh::ConstructMesh &c, const Anatomy &anatomy, const Levelling &levelling, const ConstructMaterials &m)
    : construct(c), hock_centre(anatomy.hock_centre),
      axis((levelling.moved(Vector3::Zero()) - anatomy.hock_centre).normalized()),
      elasticity(c.mesh, part_materials(c.mesh, m), bone_laws(c.mesh, anatomy, levelling, m)), cut(elasticity, true),
      heads(c, elasticity), system(elasticity, cut, heads, with_own_threads(m, c), part_materials(c.mesh, m)),
      peaks(elasticity, part_yields(c.mesh, m)), turn(elasticity), screws(c, elasticity), shafts(c, elasticity),
      talar(make_patch(c.mesh, support_of(c.mesh))), contact(cut, heads, system), loads(elasticity, talar, hock_centre, system), block_stress(elasticity, peaks, shafts)
  {
  }
  void            touch(const Loads &loads, int threads);
  void            touch_one(const Load &load, std::size_t state);
  const CutState *before(std::size_t state) const; ///< the last one of its chain that converged; null: none
  Eigen::MatrixXd displacements(const Loads &loads, int threads) const;
  ConstructState  result(const Load &load, std::size_t state, Columns u, Columns threads) const;
  std::vector<StressRows> stress_rows(const Eigen::MatrixXd &u, const Eigen::MatrixXd &threads, const BlockOptions &options);
  void            keep_last(const Load &load, const Vector &u, const Vector &threads);
  void            add_cut_force();
  void            fill_cut(const Load &load, std::size_t state, ConstructState &result) const;
  void            fill_plate(std::size_t state, ConstructState &result) const;
  template <class Work> void timed(std::size_t phase, Work work);
};

template <class Work> void ConstructModel::Implementation::timed(std::size_t phase, Work work)
{
  const auto start = std::chrono::steady_clock::now();
  work();
  seconds[phase].seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

const CutState *ConstructModel::Implementation::before(std::size_t state) const
{
  int at = follows[state];
  while (at >= 0 && !touched[at].converged)
    at = follows[at];
  return at >= 0 ? &touched[at] : nullptr;
}

void ConstructModel::Implementation::touch_one(const Load &load, std::size_t state)
{
  touched[state] = contact.close(system.cut_load(load.condensed), law, before(state));
}

// Chains side by side. The first ever goes ahead, so that the others have a state to start from.
void ConstructModel::Implementation::touch(const Loads &loads, int threads)
{
  std::vector<std::vector<std::size_t>> chains; // by the first state of each
  std::vector<std::size_t>              chain_of;
  for (std::size_t i = 0; i < loads.size(); ++i)
  {
    if (follows[i] < 0)
      chains.emplace_back();
    chain_of.push_back(follows[i] < 0 ? chains.size() - 1 : chain_of[follows[i]]);
    chains[chain_of[i]].push_back(i);
  }
  const auto run = [&](std::size_t chain) {
    for (const std::size_t i : chains[chain])
      touch_one(*loads[i], i);
  };
  touched.assign(loads.size(), {});
  contact.prepare(law, threads);
  const std::size_t ahead = contact.has_starts() ? 0 : 1;
  for (std::size_t chain = 0; chain < std::min(ahead, chains.size()); ++chain)
  {
    run(chain);
    contact.remember(touched[chains[chain].back()], law);
  }
  for_each_index(chains.size() - std::min(ahead, chains.size()), threads, [&](std::size_t i) { run(i + ahead); });
  for (const CutState &state : touched)
    contact.remember(state, law);
}

// With the support: mean displacement and mean rotation of the talar patch are zero.
Eigen::MatrixXd ConstructModel::Implementation::displacements(const Loads &loads, int threads) const
{
  Eigen::MatrixXd u(3 * elasticity.n_nodes(), loads.size());
  for_each_range(loads.size(), threads, [&](Eigen::Index first, Eigen::Index n) {
    Eigen::MatrixXd condensed(loads[first]->condensed.size(), n), w(system.n_w(), n);
    for (Eigen::Index i = 0; i < n; ++i)
    {
      condensed.col(i) = loads[first + i]->condensed;
      w.col(i)         = touched[first + i].w;
    }
    u.middleCols(first, n) = system.expand(std::move(condensed), w);
    for (Eigen::Index i = first; i < first + n; ++i)
    {
      const MeanMotion mean = mean_motion(elasticity, talar, u.col(i));
      for (std::size_t node = 0; node < elasticity.n_nodes(); ++node)
        u.col(i).segment<3>(3 * node) -= mean.displacement + mean.rotation.cross(elasticity.nodes()[node] - talar.centre);
      if (!u.col(i).allFinite() && touched[i].converged)
        throw Error("construct: the solved displacement is not finite");
      if (!u.col(i).allFinite())
        u.col(i).setZero(); // no state, but the others of the block are
    }
  });
  return u;
}

// The jump is linear in a face, so the law fixes the cut's forces only against linear jumps. The nodal force is what the
// distal elements need beyond their other loads, and opposite on the proximal side.
void ConstructModel::Implementation::add_cut_force()
{
  if (!cut_force_missing)
    return;
  cut_force_missing = false;
  Vector internal   = Vector::Zero(nodal_force.size());
  elasticity.add_internal_force(displacement, internal);
  const auto transfer = [&](unsigned proximal, unsigned distal) {
    const Vector3 f = internal.segment<3>(3 * distal) - nodal_force.segment<3>(3 * distal);
    nodal_force.segment<3>(3 * distal) += f;
    nodal_force.segment<3>(3 * proximal) -= f;
  };
  for (const PlainHead &head : heads.list())
    for (const PlainHead::Node &node : head.nodes)
      transfer(node.plate, node.head);
  for (const CutFaces::Pair &pair : cut.pairs())
    transfer(pair.proximal, pair.distal);
  for (const CutFaces::Middle &middle : cut.middles())
    transfer(middle.proximal, middle.distal);
}

void ConstructModel::Implementation::fill_cut(const Load &load, std::size_t state, ConstructState &result) const
{
  if (cut.n_cut_pairs() == 0)
    return;
  const CutState &touch           = touched[state];
  const CutSums   sums            = cut.sums(touch.w, contact.law_of(law, before(state)));
  result.cut.contact_percent      = law.bonded ? 100 : 100 * sums.closed_area / cut.area();
  result.cut.gap_opening_max_mm   = sums.opening_max;
  result.cut.slip_max_mm          = sums.slip_max;
  result.cut.cut_turn_deg         = cut_turn_deg(cut, elasticity.nodes(), touch.w);
  Vector3 through = Vector3::Zero(), proximal = Vector3::Zero();
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
    through -= cut.pairs()[p].frame * touch.q.segment<3>(3 * p);
  for (const PointForce &force : load.forces)
    if (force.proximal)
      proximal += force.force_n;
  result.cut.load_percent_valid = std::abs(proximal.dot(axis)) >= 10;
  if (result.cut.load_percent_valid)
    result.cut.load_through_bone_percent = 100 * through.dot(axis) / proximal.dot(axis);
}

void ConstructModel::Implementation::fill_plate(std::size_t state, ConstructState &result) const
{
  if (cut.area(Side::plate) == 0)
    return;
  const CutSums sums               = cut.sums(touched[state].w, contact.law_of(law, before(state)), Side::plate);
  result.cut.plate_contact_percent = 100 * sums.closed_area / cut.area(Side::plate);
  result.cut.plate_contact_n       = sums.normal_n;
}

ConstructState ConstructModel::Implementation::result(const Load &load, std::size_t state, Columns u, Columns threads) const
{
  ConstructState  result;
  const CutState &touch      = touched[state];
  result.reaction_force_n    = load.reaction.force_n;
  result.reaction_moment_nmm = load.reaction.moment_nmm;
  result.converged           = touch.converged;
  result.contact_iterations  = touch.iterations;
  result.contact_residual    = touch.residual;
  result.screws              = screws.results(threads.col(0));
  if (cut.n_cut_pairs() > 0)
    result.cut.plateau_drift_deg = turn.plateau_drift_deg(u.col(0));
  fill_cut(load, state, result);
  fill_plate(state, result);
  for (std::size_t k = 0; k < heads.list().size(); ++k)
    result.screws.at(heads.list()[k].screw).head_n = heads.pressing_n(k, touch.q.tail(heads.n_unknowns()));
  return result;
}

std::vector<StressRows> ConstructModel::Implementation::stress_rows(const Eigen::MatrixXd &u, const Eigen::MatrixXd &threads,
                                                                    const BlockOptions &options)
{
  std::vector<StressRows> rows(u.cols());
  const bool              learn = options.stress == StressAt::learn;
  for_each_range(rows.size(), learn ? 1 : options.threads, [&](Eigen::Index first, Eigen::Index n) {
    const auto part_u = u.middleCols(first, n), part_threads = threads.middleCols(first, n);
    auto       some = learn                                     ? block_stress.learn(part_u, part_threads)
                      : options.stress == StressAt::candidates ? block_stress.rows_at_candidates(part_u, part_threads)
                                                               : block_stress.rows(part_u, part_threads);
    std::move(some.begin(), some.end(), rows.begin() + first);
  });
  for (std::size_t i = 0; i < rows.size(); ++i)
    if (rows[i].moved)
    {
      ++n_moved;
      rows[i] = block_stress.rows(u.col(i), threads.col(i)).front();
    }
  return rows;
}

// The last one of a block leaves its fields behind; its stress is recovered when somebody asks.
void ConstructModel::Implementation::keep_last(const Load &load, const Vector &u, const Vector &threads)
{
  displacement      = u;
  nodal_force       = load.nodal + threads;
  cut_force_missing = true;
  stress_missing    = true;
}

ConstructModel::ConstructModel(const mesh::ConstructMesh &construct, const Anatomy &anatomy, const Levelling &levelling,
                               const ConstructMaterials &materials)
  : impl_(std::make_unique<Implementation>(construct, anatomy, levelling, materials))
{
}
ConstructModel::~ConstructModel() = default;

std::size_t ConstructModel::n_dofs() const { return 3 * impl_->elasticity.n_nodes(); }
const std::vector<ConstructModel::Timing> &ConstructModel::timing() const { return impl_->system.timing(); }
const Vector                              &ConstructModel::displacement() const { return impl_->displacement; }
const Vector                              &ConstructModel::nodal_force() const 
{
  impl_->add_cut_force();
  return impl_->nodal_force;
}
const Elasticity                          &ConstructModel::elasticity() const { return impl_->elasticity; }
const RecoveredStress &ConstructModel::stress() const
{
  if (impl_->stress_missing)
    recover_stress(impl_->elasticity, impl_->displacement, impl_->stress);
  impl_->stress_missing = false;
  return impl_->stress;
}

const std::vector<ConstructModel::Timing> &ConstructModel::state_timing() const { return impl_->seconds; }

std::vector<ConstructState> ConstructModel::solve_block(const std::vector<LoadStep> &block, const CutLaw &law, const BlockOptions &options)
{
  Implementation &m = *impl_;
  m.law             = law;
  m.follows.clear();
  for (const LoadStep &step : block)
    m.follows.push_back(step.after);
  Loads                              loads;
  Eigen::MatrixXd                    u, threads;
  std::vector<StressRows>            rows;
  std::vector<ConstructState>        states(block.size());
  m.timed(0, [&] { loads = m.loads.of(block, options.threads); });
  m.timed(1, [&] { m.touch(loads, options.threads); });
  m.timed(2, [&] { u = m.displacements(loads, options.threads); });
  m.timed(3, [&] {
    threads = Eigen::MatrixXd::Zero(u.rows(), u.cols());
    for_each_index(block.size(), options.threads, [&](std::size_t i) { m.system.add_thread_force(u.col(i), threads.col(i)); });
    rows = m.stress_rows(u, threads, options);
  });
  for_each_index(block.size(), options.threads, [&](std::size_t i) {
    states[i]        = m.result(*loads[i], i, u.col(i), threads.col(i));
    states[i].peaks  = std::move(rows[i].peaks);
    states[i].shafts = std::move(rows[i].shafts);
  });
  if (!block.empty())
    m.keep_last(*loads.back(), u.col(u.cols() - 1), threads.col(u.cols() - 1));
  return states;
}

std::size_t ConstructModel::n_moved() const { return impl_->n_moved; }

ConstructState ConstructModel::solve(const std::vector<PointForce> &forces, const CutLaw &law)
{
  return solve_block({{forces, -1}}, law).front();
}

std::vector<CutMapFace> ConstructModel::cut_map(std::size_t state) const
{
  const Implementation &m = *impl_;
  if (m.law.bonded || m.cut.n_cut_pairs() == 0)
    return {};
  const Vector           &w   = m.touched.at(state).w;
  std::vector<CutMapFace> map = m.cut.map(w, m.contact.law_of(m.law, m.before(state)));
  for (std::size_t f = 0; f < map.size(); ++f)
    for (int i = 0; i < 3; ++i)
    {
      const unsigned pair  = m.cut.faces()[f].pair[i]; // faces of the cut come first
      map[f].corners_mm[i] = m.elasticity.nodes()[m.cut.pairs()[pair].distal];
      // callus grows after the screws are tightened
      map[f].callus_mpa -= m.law.callus_normal * (w(3 * pair) - m.contact.tightened()(3 * pair)) / 3;
    }
  return map;
}

FieldData ConstructModel::field() const
{
  Implementation &m = *impl_;
  if (m.displacement.size() == 0)
    throw Error("construct: no state has been solved yet");
  m.add_cut_force();
  stress();
  FieldData         field;
  std::vector<char> seen(m.elasticity.n_nodes(), 0);
  for (std::size_t e = 0; e < m.stress.node.size(); ++e)
  {
    const unsigned node = m.stress.node[e];
    field.points_mm.push_back(m.elasticity.nodes()[node]);
    field.node.push_back(static_cast<int>(node));
    field.displacement_mm.push_back(m.displacement.segment<3>(3 * node));
    field.force_n.push_back(seen[node] ? Vector3(Vector3::Zero()) : Vector3(m.nodal_force.segment<3>(3 * node)));
    field.stress_mpa.push_back(m.stress.stress_mpa[e]);
    field.von_mises_mpa.push_back(von_mises(m.stress.stress_mpa[e]));
    seen[node] = 1;
  }
  field.cells      = m.stress.cell_entries;
  field.part_names = m.construct.mesh.parts;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
  {
    field.part.push_back(static_cast<int>(m.construct.mesh.part[c]));
    field.modulus_mpa.push_back(m.elasticity.material(c).modulus_mpa);
    field.poisson_ratio.push_back(m.elasticity.material(c).poisson_ratio);
  }
  return field;
}
} // namespace stifle::solver
