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

ContactLaw CutContact::law_of(const CutLaw &law, const CutState *before) const
{
  ContactLaw contact;
  contact.stiffness      = law.contact_stiffness;
  contact.friction       = law.friction;
  contact.gap_mm         = law.gap_mm;
  contact.plate_friction = law.plate_friction;
  contact.heads          = tight_.heads;
  contact.slid           = before ? before->slid : tight_.slid;
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
  const CutSolution solution     = touch(load, law, contact, Vector());
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
  const CutSolution solution = touch(state.load, law, contact, start(state.load, law, before));
  state.w                    = solution.w;
  state.iterations           = solution.iterations;
  state.residual             = solution.residual;
  state.converged            = solution.converged;
  state.slid                 = cut_.slid(state.w, contact);
  state.q                    = face_forces(state, law, contact);
  return state;
}

CutSolution CutContact::touch(const Vector &load, const CutLaw &law, const ContactLaw &contact, const Vector &start) const
{
  CutProblem problem{cut_, load, [&]() -> const Eigen::MatrixXd & { return system_.compliance(law); }, {}};
  if (law.gap_mm == 0 || presses())
    problem.stuck = [&]() -> const Eigen::MatrixXd & { return system_.stuck_compliance(law); };
  problem.free_k0     = system_.free_k0();
  problem.stuck_k0    = system_.stuck_k0();
  problem.heads       = &heads_;
  problem.least_scale = tight_.w.cwiseAbs().maxCoeff();
  return solve_cut(problem, contact, start);
}

// Contact and friction scale with the load, so a solved state is scaled to this load first, from the tightened shape: the one before
// in the chain, or one of another callus whose load is nearer (the same instant a few weeks ago). Empty: no state to start from.
// The newest of remembered states counts too, for the first of a chain.
Vector CutContact::start(const Vector &load, const CutLaw &law, const CutState *before) const
{
  Vector     start;
  double     nearest = -1; // largest cosine
  const auto offer   = [&](const Vector &known_load, const Vector &known_w) {
    const double along = known_load.dot(load), size = known_load.squaredNorm(), cosine = along / std::sqrt(size * load.squaredNorm());
    if (!(along > 0) || cosine <= nearest)
      return;
    nearest = cosine;
    start   = tight_.w + along / size * (known_w - tight_.w);
  };
  if (before)
    offer(before->load, before->w);
  else if (!tight_.slid.empty())
    start = tight_.w;
  for (auto known = solved_.rbegin(); known != solved_.rend(); ++known)
    if ((!before && known == solved_.rbegin()) || known->callus != callus_of(law))
      offer(known->load, known->w);
  return start;
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
