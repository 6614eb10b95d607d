#include "solver/cg_states.h"
#include "solver/petsc_session.h"

namespace stifle::solver
{
namespace
{
constexpr std::size_t kept_states = 8;

CgConstruct::Cut stands(const CutLaw &law)
{
  if (law.bonded)
    return {true, 0};
  return {false, law.gap_mm == 0 ? law.contact_stiffness : std::max(law.callus_normal, law.callus_tangential)};
}
} // namespace

CgStates::CgStates(const Elasticity &elasticity, const CutFaces &cut, std::vector<ThreadFace> threads, const CgOptions &options)
  : elasticity_(elasticity), cut_(cut), options_(options), threads_(std::move(threads))
{
}

void CgStates::prepare(const CutLaw &law)
{
  const CgConstruct::Cut how = cut_.n_pairs() == 0 ? CgConstruct::Cut{} : stands(law);
  if (system_ && how.bonded == how_.bonded && how.springs == how_.springs)
    return;
  const PetscSession session; // PETSc has one user at a time
  known_.clear();
  system_.reset(); // before the next one: two would need twice the memory
  system_ = std::make_unique<CgConstruct>(elasticity_, cut_, threads_, how, options_);
  how_    = how;
  assemble_seconds += system_->assemble_seconds;
  setup_seconds += system_->solver().setup_seconds;
}

Vector CgStates::start(const Vector &force, const CutLaw &law) const
{
  Vector start;
  double nearest = 0.2; // cosine: an unlike state helps nothing
  for (auto known = known_.rbegin(); known != known_.rend(); ++known)
  {
    const double along = known->force.dot(force), size = known->force.squaredNorm(), cosine = along / std::sqrt(size * force.squaredNorm());
    const double worth = cosine - (known->callus == std::array<double, 2>{{law.callus_normal, law.callus_tangential}} ? 0 : 1e-3);
    if (!(worth > nearest))
      continue;
    nearest = worth;
    start   = along / size * known->u;
  }
  return start;
}

// What the distal elements need beyond their other loads, pulled to the vertices: the sum over the cut is exact.
Vector CgStates::bonded_force(const Vector &nodal, const Vector &u) const
{
  Vector internal = Vector::Zero(u.size()), others = nodal;
  elasticity_.add_internal_force(u, internal);
  add_thread_force(threads_, u, others);
  const Vector rest = internal - others;
  Vector       q(3 * cut_.pairs().size());
  for (std::size_t p = 0; p < cut_.pairs().size(); ++p)
    q.segment<3>(3 * p) = -cut_.pairs()[p].frame.transpose() * rest.segment<3>(3 * cut_.pairs()[p].distal);
  for (const CutFaces::Middle &middle : cut_.middles())
    for (const unsigned end : middle.ends)
      q.segment<3>(3 * end) -= 0.5 * cut_.pairs()[end].frame.transpose() * rest.segment<3>(3 * middle.distal);
  return q;
}

CutState CgStates::close(const Vector &nodal, const CutLaw &law, const CutState *before, Vector &u)
{
  prepare(law);
  const PetscSession session;
  const Vector       force = system_->reduce(nodal);
  Vector             x     = start(force, law);
  CutState           state;
  if (how_.bonded)
  {
    const SolveReport report = system_->solver().solve(force, x);
    state.converged          = report.converged;
    state.residual           = report.relative_residual;
    linear_iterations        = static_cast<int>(report.iterations);
    u                        = system_->expand(x);
    state.w                  = Vector::Zero(3 * cut_.pairs().size());
    state.q                  = bonded_force(nodal, u);
  }
  else
  {
    const ContactLaw        contact = contact_law(law, before);
    const CgContactProblem  problem{cut_, force, contact, law.callus_normal, law.callus_tangential};
    const CgContactSolution s = solve_contact(*system_, problem, x);
    state.w                   = s.w;
    state.q                   = s.q;
    state.iterations          = s.iterations;
    state.residual            = s.residual;
    state.converged           = s.converged;
    state.slid                = cut_.slid(s.w, contact);
    linear_iterations         = s.linear_iterations;
    x                         = s.u;
    u                         = system_->expand(x);
  }
  if (state.converged)
  {
    if (known_.size() == kept_states)
      known_.erase(known_.begin());
    known_.push_back({force, x, {{law.callus_normal, law.callus_tangential}}});
  }
  return state;
}
} // namespace stifle::solver
