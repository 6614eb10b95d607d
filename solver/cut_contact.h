// solver/cut_contact.h - one load state on w: contact and friction of the cut and of a plate that presses, callus, plain heads
//   path     tightening of plain heads with the fresh cut, locking, then the limb: a chain of states (the instants of a stance), each
//            from what the one before has slid; the first from the tightened shape. Callus grows in the tightened shape: it is free of
//            stress there. A bonded cut was bonded before tightening
//   threads  prepare() first; then states of that law may be solved at the same time
#pragma once
#include "solver/cut_newton.h"

namespace stifle::solver
{
class ConstructSystem;
struct CutLaw;

/// What is left on the faces when a state is solved.
struct CutState
{
  Vector load, w, q;                 ///< N, mm, N (heads: N mm, rad); load of the limb; q: forces of contact, callus and heads
  std::vector<Eigen::Vector2d> slid; ///< CutFaces::slid, where the next state of the chain starts
  int    iterations = 0;
  double residual   = 0;
  bool   converged  = true;
};

/// What the faces do, without heads, from where they have slid before.
ContactLaw contact_law(const CutLaw &law, const CutState *before = nullptr);

class CutContact
{
public:
  /// All are borrowed.
  CutContact(const CutFaces &cut, const PlainHeads &heads, ConstructSystem &system);
  /// The tightened shape for this law and what its states need, on up to `threads` threads. Throws Error: pre-load without balance.
  void prepare(const CutLaw &law, int threads);
  /// `load`: ConstructSystem::cut_load. `before`: the state it follows in its chain, null for the first.
  CutState close(const Vector &load, const CutLaw &law, const CutState *before) const;
  /// A start for later searches; of another shape or too old ones are forgotten.
  void remember(const CutState &state, const CutLaw &law);
  bool has_starts() const { return !solved_.empty(); }
  ContactLaw    law_of(const CutLaw &law, const CutState *before) const; ///< of a state that follows `before`
  const Vector &tightened() const { return tight_.w; }                   ///< zero without any pre-load

private:
  /// A contact state solved before and the load that made it.
  struct Solved
  {
    Vector                load, w;
    std::array<double, 2> callus{{0, 0}};
  };
  /// What tightening the plain screws leaves, for one law of the fresh faces.
  struct Tightened
  {
    std::array<double, 5> law{{-1, -1, -1, -1, -1}};
    std::vector<HeadLaw>  heads;
    Vector                w;
    std::vector<Eigen::Vector2d> slid;
  };
  void        tighten(CutLaw law);
  bool        presses() const; ///< more than the cut is among the unknowns
  CutProblem  problem(const Vector &load, const CutLaw &law) const; ///< borrows both
  Vector      start(const CutProblem &problem, const CutLaw &law, const CutState *before) const;
  Vector      face_forces(const CutState &state, const CutLaw &law, const ContactLaw &contact) const;
  const CutFaces     &cut_;
  const PlainHeads   &heads_;
  ConstructSystem    &system_;
  Tightened           tight_;
  std::vector<Solved> solved_; ///< the newest last
};
} // namespace stifle::solver
