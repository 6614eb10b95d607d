#include "solver/cut_contact.h"
#include "models/core/error.h"
#include "solver/construct_system.h"

namespace stifle::solver
{
namespace
{
constexpr std::size_t kept_contacts = 64;

std::array<double, 2> callus_of(const CutLaw &law) { return {{law.callus_normal, law.callus_tangential}}; }
} // namespace

CutContact::CutContact(const CutFaces &cut, const PlainHeads &heads, ConstructSystem &system)
  : cut_(cut), heads_(heads), system_(system)
{
  tight_.w = Vector::Zero(system.n_w());
}

bool CutContact::presses() const { return system_.n_w() > static_cast<Eigen::Index>(3 * cut_.n_cut_pairs()); }

ContactLaw contact_law(const CutLaw &law, const CutState *before)
{
  ContactLaw contact;
  contact.stiffness      = law.contact_stiffness;
  contact.friction       = law.friction;
  contact.gap_mm         = law.gap_mm;
  contact.plate_friction = law.plate_friction;
  if (before)
    contact.slid = before->slid;
  return contact;
}

ContactLaw CutContact::law_of(const CutLaw &law, const CutState *before) const
{
  ContactLaw contact = contact_law(law, before);
  contact.heads      = tight_.heads;
  if (!before)
    contact.slid = tight_.slid;
  return contact;
}

void CutContact::prepare(const CutLaw &law, int threads)
{
  if (system_.n_w() == 0 || (law.bonded && !presses()))
    return;
  system_.prepare(law, threads);
  tighten(law);
}

// Once for each law of the fresh faces.
void CutContact::tighten(CutLaw law)
{
  const std::array<double, 5> key{
    {law.bonded ? 1.0 : 0.0, law.friction, law.contact_stiffness, law.gap_mm, law.plate_friction}};
  if (key == tight_.law)
    return;
  solved_.clear();
  tight_ = {key, {}, Vector::Zero(system_.n_w()), {}};
  if (!heads_.loaded())
    return;
  law.callus_normal = law.callus_tangential = 0;
  Vector load                    = Vector::Zero(system_.n_w());
  load.tail(heads_.n_unknowns()) = heads_.tightening_force();
  ContactLaw contact             = law_of(law, nullptr);
  contact.heads                  = heads_.tightening();
  const CutSolution solution     = solve_cut(problem(load, law), contact, Vector());
  if (!solution.converged)
    throw Error("construct: no balance found for the pre-load of the plain screws alone");
  tight_.w     = solution.w;
  tight_.heads = heads_.locked(solution.w.tail(heads_.n_unknowns()), law.contact_stiffness);
  tight_.slid  = cut_.slid(solution.w, contact);
}

CutState CutContact::close(const Vector &load, const CutLaw &law, const CutState *before) const
{
  CutState state;
  state.w = Vector::Zero(system_.n_w());
  if (state.w.size() == 0)
    return state;
  state.load = state.q = load;
  if (law.bonded && !presses())
    return state;
  const ContactLaw contact = law_of(law, before);
  if (heads_.loaded())
    cut_.add_callus_force(tight_.w, law.callus_normal, law.callus_tangential, state.load);
  const CutProblem  cut      = problem(state.load, law);
  const CutSolution solution = solve_cut(cut, contact, start(cut, law, before));
  state.w                    = solution.w;
  state.iterations           = solution.iterations;
  state.residual             = solution.residual;
  state.converged            = solution.converged;
  state.slid                 = cut_.slid(state.w, contact);
  state.q                    = face_forces(state, law, contact);
  return state;
}

CutProblem CutContact::problem(const Vector &load, const CutLaw &law) const
{
  CutProblem problem{cut_, load, [this, &law]() -> const Eigen::MatrixXd & { return system_.compliance(law); }, {}};
  if (law.gap_mm == 0 || presses())
    problem.stuck = [this, &law]() -> const Eigen::MatrixXd & { return system_.stuck_compliance(law); };
  problem.free_k0     = system_.free_k0();
  problem.stuck_k0    = system_.stuck_k0();
  problem.heads       = &heads_;
  problem.least_scale = tight_.w.cwiseAbs().maxCoeff();
  return problem;
}

// After another state of the chain: that state and, while all that touched sticks, what was added to the load. Else one of another callus
// whose load is nearest (the same instant a few weeks ago), or the newest: contact and friction scale with the load, so it is scaled
// from the tightened shape. Empty: no state to start from.
Vector CutContact::start(const CutProblem &problem, const CutLaw &law, const CutState *before) const
{
  const Vector &load = problem.load;
  if (before && problem.stuck)
    return before->w + problem.stuck() * (load - before->load);
  const Solved *nearest = nullptr;
  double        scale = 0, most_alike = 0;
  const auto    offer = [&](const Solved &known) {
    const double along = known.load.dot(load), size = known.load.squaredNorm(), cosine = along / std::sqrt(size * load.squaredNorm());
    if (!(cosine > most_alike)) // nor without any load
      return;
    most_alike = cosine;
    nearest    = &known;
    scale      = along / size;
  };
  const Solved same_chain = before ? Solved{before->load, before->w, callus_of(law)} : Solved();
  if (before)
    offer(same_chain);
  for (auto known = solved_.rbegin(); known != solved_.rend(); ++known)
    if ((!before && known == solved_.rbegin()) || known->callus != callus_of(law))
      offer(*known);
  if (!nearest)
    return tight_.slid.empty() ? Vector() : tight_.w;
  return tight_.w + scale * (nearest->w - tight_.w);
}

void CutContact::remember(const CutState &state, const CutLaw &law)
{
  if (law.bonded && !presses())
  {
    solved_.clear();
    return;
  }
  if (!state.converged || system_.n_w() == 0)
    return;
  if (solved_.size() == kept_contacts)
    solved_.erase(solved_.begin());
  solved_.push_back({state.load, state.w, callus_of(law)});
}

// What law and callus give on the faces; a bonded cut needs what the rest leaves over. Heads: theirs.
Vector CutContact::face_forces(const CutState &state, const CutLaw &law, const ContactLaw &contact) const
{
  const Vector &w = state.w;
  Vector q = cut_.contact_force(w, contact);
  if (law.callus_normal != 0 || law.callus_tangential != 0)
    cut_.add_callus_force(w - tight_.w, law.callus_normal, law.callus_tangential, q);
  if (law.bonded)
    q.head(3 * cut_.n_cut_pairs()) = (state.load - system_.times_w(w)).head(3 * cut_.n_cut_pairs());
  q.tail(heads_.n_unknowns()) = heads_.force(w.tail(heads_.n_unknowns()), contact.heads, contact.stiffness);
  return q;
}
} // namespace stifle::solver
