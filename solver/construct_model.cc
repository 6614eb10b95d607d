#include "solver/construct_model.h"
#include "models/core/error.h"
#include "solver/bone_law.h"
#include "solver/construct_results.h"
#include "solver/construct_system.h"
#include "solver/cut_newton.h"
#include "solver/patch_load.h"
#include "solver/screw_shaft.h"

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

/// A contact state solved before and the load that made it.
struct SolvedContact
{
  Vector                load, w;
  std::array<double, 2> callus{{0, 0}};
};
constexpr std::size_t kept_contacts = 64;

/// What tightening the plain screws leaves, for one law of the fresh faces.
struct TightHeads
{
  std::array<double, 5> law{{-1, -1, -1, -1, -1}};
  std::vector<HeadLaw>  heads;
  Vector                w; ///< zero without any pre-load
};

ContactLaw contact_of(const CutLaw &law)
{
  ContactLaw contact;
  contact.stiffness      = law.contact_stiffness;
  contact.friction       = law.friction;
  contact.gap_mm         = law.gap_mm;
  contact.plate_friction = law.plate_friction;
  return contact;
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
  Vector                     displacement, nodal_force, w;
  TightHeads                 tight;
  CutLaw                     last_law;
  std::vector<SolvedContact> solved; ///< the newest last; none of another tightened shape
  bool                       cut_force_missing = false;
  RecoveredStress            stress;

  Implementation(const mesh::ConstructMesh &c, const Anatomy &anatomy, const Levelling &levelling, const ConstructMaterials &m)
    : construct(c), hock_centre(anatomy.hock_centre),
      axis((levelling.moved(Vector3::Zero()) - anatomy.hock_centre).normalized()),
      elasticity(c.mesh, part_materials(c.mesh, m), bone_laws(c.mesh, anatomy, levelling, m)), cut(elasticity, true),
      heads(c, elasticity), system(elasticity, cut, heads, with_own_threads(m, c), part_materials(c.mesh, m)),
      peaks(elasticity, part_yields(c.mesh, m)), turn(elasticity), screws(c, elasticity), shafts(c, elasticity),
      talar(make_patch(c.mesh, support_of(c.mesh))), w(Vector::Zero(system.n_w()))
  {
  }
  Vector applied_force(const std::vector<PointForce> &forces, ConstructState &state) const;
  Vector warm_start(const Vector &load, const CutLaw &law) const;
  void   remember(const CutSolution &solution, const Vector &load, const CutLaw &law);
  Vector close_cut(const Vector &condensed, const CutLaw &law, ConstructState &state);
  CutSolution touch(const Vector &load, const CutLaw &law, const ContactLaw &contact, const Vector &start);
  void   tighten(CutLaw law);
  Vector face_forces(const Vector &load, const CutLaw &law, const ContactLaw &contact) const;
  bool   presses() const { return system.n_w() > static_cast<Eigen::Index>(3 * cut.n_cut_pairs()); }
  void   fill_plate(const CutLaw &law, ConstructState &state) const;
  void   remove_rigid_motion();
  void   add_cut_force();
  void   fill_cut(const std::vector<PointForce> &forces, const CutLaw &law, const Vector &q, ConstructState &state) const;
};

// Landmark loads and the reaction that balances them, as nodal forces.
Vector ConstructModel::Implementation::applied_force(const std::vector<PointForce> &forces, ConstructState &state) const
{
  for (const PointForce &load : forces)
    if (!load.force_n.allFinite() || !load.point_mm.allFinite())
      throw Error("load " + load.name + " is not finite");
  Vector nodal = landmark_forces(elasticity, forces);
  // From the nodal forces, not from the list: a load that a patch lost would show in the closure check.
  const Resultant sum       = resultant_of(elasticity, nodal, hock_centre);
  state.reaction_force_n    = -sum.force_n;
  state.reaction_moment_nmm = -sum.moment_nmm;
  add_resultant(elasticity, talar, -sum.force_n, -sum.moment_nmm, hock_centre, nodal);
  return nodal;
}

// Contact and friction scale with the load, so a solved state is scaled to this load first, from the tightened shape: the last one,
// or one of another callus whose load is nearer (the same instant a few weeks ago). Empty: no state to start from.
Vector ConstructModel::Implementation::warm_start(const Vector &load, const CutLaw &law) const
{
  const std::array<double, 2> callus{{law.callus_normal, law.callus_tangential}};
  Vector                      start;
  double                      nearest = -1; // largest cosine
  for (auto known = solved.rbegin(); known != solved.rend(); ++known)
  {
    if (known != solved.rbegin() && known->callus == callus)
      continue;
    const double along = known->load.dot(load), size = known->load.squaredNorm(), cosine = along / std::sqrt(size * load.squaredNorm());
    if (along > 0 && cosine > nearest)
    {
      nearest = cosine;
      start   = tight.w + along / size * (known->w - tight.w);
    }
  }
  return start;
}

void ConstructModel::Implementation::remember(const CutSolution &solution, const Vector &load, const CutLaw &law)
{
  if (!solution.converged)
    return;
  if (solved.size() == kept_contacts)
    solved.erase(solved.begin());
  solved.push_back({load, solution.w, {{law.callus_normal, law.callus_tangential}}});
}

// Relative displacement of the cut; the force q on it is returned.
Vector ConstructModel::Implementation::close_cut(const Vector &condensed, const CutLaw &law, ConstructState &state)
{
  state.converged = true;
  if (w.size() == 0)
    return Vector();
  Vector load = system.cut_load(condensed);
  if (law.bonded && !presses())
  {
    w.setZero();
    solved.clear();
    return load;
  }
  tighten(law);
  ContactLaw contact = contact_of(law);
  contact.heads      = tight.heads;
  if (heads.loaded())
    cut.add_callus_force(tight.w, law.callus_normal, law.callus_tangential, load);
  const CutSolution solution = touch(load, law, contact, warm_start(load, law));
  w                          = solution.w;
  remember(solution, load, law);
  state.converged            = solution.converged;
  state.contact_iterations   = solution.iterations;
  state.contact_residual     = solution.residual;
  return face_forces(load, law, contact);
}

CutSolution ConstructModel::Implementation::touch(const Vector &load, const CutLaw &law, const ContactLaw &contact, const Vector &start)
{
  CutProblem problem{cut, load, [&]() -> const Eigen::MatrixXd & { return system.compliance(law); }, {}};
  if (law.gap_mm == 0 || presses())
    problem.stuck = [&]() -> const Eigen::MatrixXd & { return system.stuck_compliance(law); };
  problem.free_k0     = system.free_k0();
  problem.stuck_k0    = system.stuck_k0();
  problem.heads       = &heads;
  problem.least_scale = tight.w.size() > 0 ? tight.w.cwiseAbs().maxCoeff() : 0;
  return solve_cut(problem, contact, start);
}

// The state after tightening, once for each law of the fresh faces.
void ConstructModel::Implementation::tighten(CutLaw law)
{
  const std::array<double, 5> key{
    {law.bonded ? 1.0 : 0.0, law.friction, law.contact_stiffness, law.gap_mm, law.plate_friction}};
  if (key == tight.law)
    return;
  solved.clear();
  tight = {key, {}, Vector::Zero(system.n_w())};
  if (!heads.loaded())
    return;
  law.callus_normal = law.callus_tangential = 0;
  Vector load                  = Vector::Zero(system.n_w());
  load.tail(heads.n_unknowns()) = heads.tightening_force();
  ContactLaw contact           = contact_of(law);
  contact.heads                = heads.tightening();
  const CutSolution solution   = touch(load, law, contact, Vector());
  if (!solution.converged)
    throw Error("construct: no balance found for the pre-load of the plain screws alone");
  tight.w     = solution.w;
  tight.heads = heads.locked(solution.w.tail(heads.n_unknowns()), law.contact_stiffness);
}

// Forces on w: what law and callus give on the faces; a bonded cut needs what the rest leaves over. Heads: theirs.
Vector ConstructModel::Implementation::face_forces(const Vector &load, const CutLaw &law, const ContactLaw &contact) const
{
  Vector q = cut.contact_force(w, contact);
  if (law.callus_normal != 0 || law.callus_tangential != 0)
    cut.add_callus_force(w - tight.w, law.callus_normal, law.callus_tangential, q);
  if (law.bonded)
    q.head(3 * cut.n_cut_pairs()) = (load - system.times_w(w)).head(3 * cut.n_cut_pairs());
  q.tail(heads.n_unknowns()) = heads.force(w.tail(heads.n_unknowns()), contact.heads, contact.stiffness);
  return q;
}

// The support: mean displacement and mean rotation of the talar patch are zero.
void ConstructModel::Implementation::remove_rigid_motion()
{
  const MeanMotion mean = mean_motion(elasticity, talar, displacement);
  for (std::size_t i = 0; i < elasticity.n_nodes(); ++i)
    displacement.segment<3>(3 * i) -= mean.displacement + mean.rotation.cross(elasticity.nodes()[i] - talar.centre);
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

void ConstructModel::Implementation::fill_cut(const std::vector<PointForce> &forces, const CutLaw &law, const Vector &q,
                                              ConstructState &state) const
{
  if (cut.n_cut_pairs() == 0)
    return;
  const CutSums sums             = cut.sums(w, contact_of(law));
  state.cut.contact_percent      = law.bonded ? 100 : 100 * sums.closed_area / cut.area();
  state.cut.gap_opening_max_mm   = sums.opening_max;
  state.cut.slip_max_mm          = sums.slip_max;
  state.cut.plateau_drift_deg    = turn.plateau_drift_deg(displacement);
  state.cut.cut_turn_deg         = cut_turn_deg(cut, elasticity.nodes(), w);
  Vector3 through = Vector3::Zero(), proximal = Vector3::Zero();
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
    through -= cut.pairs()[p].frame * q.segment<3>(3 * p);
  for (const PointForce &load : forces)
    if (load.proximal)
      proximal += load.force_n;
  state.cut.load_percent_valid = std::abs(proximal.dot(axis)) >= 10;
  if (state.cut.load_percent_valid)
    state.cut.load_through_bone_percent = 100 * through.dot(axis) / proximal.dot(axis);
}

void ConstructModel::Implementation::fill_plate(const CutLaw &law, ConstructState &state) const
{
  if (cut.area(Side::plate) == 0)
    return;
  const CutSums sums              = cut.sums(w, contact_of(law), Side::plate);
  state.cut.plate_contact_percent = 100 * sums.closed_area / cut.area(Side::plate);
  state.cut.plate_contact_n       = sums.normal_n;
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
const RecoveredStress                     &ConstructModel::stress() const { return impl_->stress; }

ConstructState ConstructModel::solve(const std::vector<PointForce> &forces, const CutLaw &law)
{
  Implementation &m = *impl_;
  ConstructState  state;
  m.last_law             = law;
  m.nodal_force          = m.applied_force(forces, state);
  const Vector condensed = m.system.condense(m.nodal_force);
  const Vector q         = m.close_cut(condensed, law, state);
  m.displacement         = m.system.expand(condensed, m.w);
  m.remove_rigid_motion();
  if (!m.displacement.allFinite())
    throw Error("construct: the solved displacement is not finite");
  Vector threads = Vector::Zero(m.nodal_force.size());
  m.system.add_thread_force(m.displacement, threads);
  m.nodal_force += threads;
  m.cut_force_missing = true;
  recover_stress(m.elasticity, m.displacement, m.stress);
  state.peaks  = m.peaks.rows(m.stress);
  state.screws = m.screws.results(threads);
  state.shafts = m.shafts.results(m.stress, threads);
  m.fill_cut(forces, law, q, state);
  m.fill_plate(law, state);
  for (std::size_t k = 0; k < m.heads.list().size(); ++k)
    state.screws.at(m.heads.list()[k].screw).head_n = m.heads.pressing_n(k, q.tail(m.heads.n_unknowns()));
  return state;
}

std::vector<CutMapFace> ConstructModel::cut_map() const
{
  const Implementation &m   = *impl_;
  const CutLaw         &law = m.last_law;
  if (law.bonded || m.cut.n_cut_pairs() == 0)
    return {};
  std::vector<CutMapFace> map = m.cut.map(m.w, contact_of(law));
  for (std::size_t f = 0; f < map.size(); ++f)
    for (int i = 0; i < 3; ++i)
    {
      const unsigned pair  = m.cut.faces()[f].pair[i]; // faces of the cut come first
      map[f].corners_mm[i] = m.elasticity.nodes()[m.cut.pairs()[pair].distal];
      map[f].callus_mpa -= law.callus_normal * (m.w(3 * pair) - m.tight.w(3 * pair)) / 3; // callus grows after the screws are tightened
    }
  return map;
}

FieldData ConstructModel::field() const
{
  Implementation &m = *impl_;
  if (m.displacement.size() == 0)
    throw Error("construct: no state has been solved yet");
  m.add_cut_force();
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
