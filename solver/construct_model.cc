#include "solver/construct_model.h"
#include "models/core/error.h"
#include "models/core/parallel.h"
#include "solver/block_loads.h"
#include "solver/block_stress.h"
#include "solver/bone_law.h"
#include "solver/cg_workers.h"
#include "solver/construct_fields.h"
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
  std::vector<ThreadFace>    threads; ///< of cg; the factored system has its own
  std::unique_ptr<ConstructSystem> system; ///< null: cg
  PeakTable                  peaks;
  SegmentTurn                turn;
  ScrewSections              screws;
  ScrewShafts                shafts;
  Patch                      talar;
  std::unique_ptr<CutContact> contact; ///< null: cg
  std::unique_ptr<CgStates>  cg;
  BlockLoads                 loads;
  BlockStress                block_stress;
  std::size_t                n_moved = 0;
  std::vector<ConstructModel::Timing> made, seconds{{"loads", 0}, {"contact", 0}, {"displacement", 0}, {"stress", 0}};
  // Of the last block: its law, the contact of every state and the state each one follows.
  CutLaw                     law;
  std::vector<CutState>      touched;
  std::vector<int>           follows;
  std::vector<Vector>        moved; ///< cg: displacement of every state
  // Of its last state.
  Vector                     displacement, nodal_force;
  bool                       cut_force_missing = false;
  bool                       stress_missing = false;
  RecoveredStress            stress;

  Implementation(const mesh::ConstructMesh &c, const Anatomy &anatomy, const Levelling &levelling, const ConstructMaterials &m,
                 SolverKind solver, int threads_of_factor)
    : construct(c), hock_centre(anatomy.hock_centre),
      axis((levelling.moved(Vector3::Zero()) - anatomy.hock_centre).normalized()),
      elasticity(c.mesh, part_materials(c.mesh, m), bone_laws(c.mesh, anatomy, levelling, m)), cut(elasticity, true),
      heads(c, elasticity), system(factored(m, solver, threads_of_factor)),
      peaks(elasticity, part_yields(c.mesh, m)), turn(elasticity), screws(c, elasticity), shafts(c, elasticity),
      talar(make_patch(c.mesh, support_of(c.mesh))), loads(elasticity, talar, hock_centre, system.get()),
      block_stress(elasticity, peaks, shafts)
  {
    if (system)
    {
      made    = system->timing();
      contact = std::make_unique<CutContact>(cut, heads, *system);
      return;
    }
    threads = thread_faces(elasticity, with_own_threads(m, c));
    CgOptions options;
    options.all_processes = several_processes();
    tell_model(elasticity, threads);
    cg = std::make_unique<CgStates>(elasticity, cut, threads, options);
  }
  ~Implementation()
  {
    if (cg)
      tell_end();
  }
  std::unique_ptr<ConstructSystem> factored(const ConstructMaterials &m, SolverKind solver, int threads) const;
  ContactLaw      law_of(std::size_t state) const;
  void            add_thread_force(Columns u, Eigen::Ref<Vector> nodal) const;
  void            expand(const Loads &loads, Eigen::Index first, Eigen::Ref<Eigen::MatrixXd> u) const;
  void            touch(const Loads &loads, int threads);
  void            touch_by_cg(const Loads &loads);
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

std::unique_ptr<ConstructSystem> ConstructModel::Implementation::factored(const ConstructMaterials &m, SolverKind solver, int threads) const
{
  const bool able = heads.list().empty() && cut.n_pairs() == cut.n_cut_pairs() && !m.bonded_threads;
  if (solver == SolverKind::cg && !able)
    throw Error("construct: conjugate gradients know neither plain heads nor a plate that presses on the bone nor tied threads; "
                "--solver direct does");
  if (able && (solver == SolverKind::cg || (solver == SolverKind::automatic && 3 * elasticity.n_nodes() > cg_above_unknowns)))
    return nullptr;
  return std::make_unique<ConstructSystem>(elasticity, cut, heads, with_own_threads(m, construct), part_materials(construct.mesh, m), threads);
}

ContactLaw ConstructModel::Implementation::law_of(std::size_t state) const
{
  return cg ? contact_law(law, before(state)) : contact->law_of(law, before(state));
}

const CutState *ConstructModel::Implementation::before(std::size_t state) const
{
  int at = follows[state];
  while (at >= 0 && !touched[at].converged)
    at = follows[at];
  return at >= 0 ? &touched[at] : nullptr;
}

// One after the other: each uses all the memory bandwidth there is.
void ConstructModel::Implementation::touch_by_cg(const Loads &loads)
{
  touched.assign(loads.size(), {});
  moved.assign(loads.size(), {});
  for (std::size_t i = 0; i < loads.size(); ++i)
  {
    const CutState *from = before(i);
    tell_state(loads[i]->nodal, law, from ? from->slid : std::vector<Eigen::Vector2d>());
    touched[i] = cg->close(loads[i]->nodal, law, from, moved[i]);
  }
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
      touched[i] = contact->close(system->cut_load(loads[i]->condensed), law, before(i));
  };
  touched.assign(loads.size(), {});
  contact->prepare(law, threads);
  const std::size_t ahead = contact->has_starts() ? 0 : 1;
  for (std::size_t chain = 0; chain < std::min(ahead, chains.size()); ++chain)
  {
    run(chain);
    contact->remember(touched[chains[chain].back()], law);
  }
  for_each_index(chains.size() - std::min(ahead, chains.size()), threads, [&](std::size_t i) { run(i + ahead); });
  for (const CutState &state : touched)
    contact->remember(state, law);
}

void ConstructModel::Implementation::expand(const Loads &loads, Eigen::Index first, Eigen::Ref<Eigen::MatrixXd> u) const
{
  for (Eigen::Index i = 0; cg && i < u.cols(); ++i)
    u.col(i) = moved[first + i];
  if (cg)
    return;
  Eigen::MatrixXd condensed(loads[first]->condensed.size(), u.cols()), w(system->n_w(), u.cols());
  for (Eigen::Index i = 0; i < u.cols(); ++i)
  {
    condensed.col(i) = loads[first + i]->condensed;
    w.col(i)         = touched[first + i].w;
  }
  u = system->expand(std::move(condensed), w);
}

// With the support: mean displacement and mean rotation of the talar patch are zero.
Eigen::MatrixXd ConstructModel::Implementation::displacements(const Loads &loads, int threads) const
{
  Eigen::MatrixXd u(3 * elasticity.n_nodes(), loads.size());
  for_each_range(loads.size(), threads, [&](Eigen::Index first, Eigen::Index n) {
    expand(loads, first, u.middleCols(first, n));
    for (Eigen::Index i = first; i < first + n; ++i)
    {
      remove_mean_motion(elasticity, talar, u.col(i));
      if (!u.col(i).allFinite() && touched[i].converged)
        throw Error("construct: the solved displacement is not finite");
      if (!u.col(i).allFinite())
        u.col(i).setZero(); // no state, but the others of the block are
    }
  });
  return u;
}

void ConstructModel::Implementation::add_cut_force()
{
  if (cut_force_missing)
    solver::add_cut_force(elasticity, cut, heads, displacement, nodal_force);
  cut_force_missing = false;
}

void ConstructModel::Implementation::fill_cut(const Load &load, std::size_t state, ConstructState &result) const
{
  if (cut.n_cut_pairs() == 0)
    return;
  const CutState &touch           = touched[state];
  const CutSums   sums            = cut.sums(touch.w, law_of(state));
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
  const CutSums sums               = cut.sums(touched[state].w, law_of(state), Side::plate);
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

void ConstructModel::Implementation::add_thread_force(Columns u, Eigen::Ref<Vector> nodal) const
{
  if (cg)
    solver::add_thread_force(threads, u.col(0), nodal);
  else
    system->add_thread_force(u.col(0), nodal);
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
                               const ConstructMaterials &materials, SolverKind solver, int threads)
  : impl_(std::make_unique<Implementation>(construct, anatomy, levelling, materials, solver, threads))
{
}
ConstructModel::~ConstructModel() = default;

std::size_t ConstructModel::n_dofs() const { return 3 * impl_->elasticity.n_nodes(); }
bool        ConstructModel::iterative() const { return impl_->cg != nullptr; }
const std::vector<ConstructModel::Timing> &ConstructModel::timing() const { return impl_->made; }
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
  m.timed(1, [&] { m.cg ? m.touch_by_cg(loads) : m.touch(loads, options.threads); });
  m.timed(2, [&] { u = m.displacements(loads, options.threads); });
  m.timed(3, [&] {
    threads = Eigen::MatrixXd::Zero(u.rows(), u.cols());
    for_each_index(block.size(), options.threads, [&](std::size_t i) { m.add_thread_force(u.col(i), threads.col(i)); });
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
  std::vector<CutMapFace> map = m.cut.map(w, m.law_of(state));
  for (std::size_t f = 0; f < map.size(); ++f)
    for (int i = 0; i < 3; ++i)
    {
      const unsigned pair  = m.cut.faces()[f].pair[i]; // faces of the cut come first
      map[f].corners_mm[i] = m.elasticity.nodes()[m.cut.pairs()[pair].distal];
      // callus grows after the screws are tightened
      map[f].callus_mpa -= m.law.callus_normal * (w(3 * pair) - (m.cg ? 0 : m.contact->tightened()(3 * pair))) / 3;
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
  return field_of(m.elasticity, m.stress, m.displacement, m.nodal_force);
}
} // namespace stifle::solver
