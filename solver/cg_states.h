// solver/cg_states.h - load states of one construct by conjugate gradients: what ConstructSystem and CutContact are for the factor
//   systems  one for a bonded cut, one for a cut that touches; the one in use is kept, with its preconditioner, over all states
//   states   a state starts from a solved one whose load was most alike, scaled. Friction starts from the slides of `before`
//   limits   one state at a time; neither plain heads nor a plate that presses (Error)
#pragma once
#include "solver/cg_contact.h"
#include "solver/cut_contact.h"

namespace stifle::solver
{
class CgStates
{
public:
  /// All but the options are borrowed.
  CgStates(const Elasticity &elasticity, const CutFaces &cut, std::vector<ThreadFace> threads, const CgOptions &options = {});
  /// Makes the system this law needs. Seconds are added up in assemble_seconds and setup_seconds.
  void prepare(const CutLaw &law);
  /// `nodal`: balanced forces on the nodes. `u`: displacement of all nodes, some rigid motion included.
  CutState close(const Vector &nodal, const CutLaw &law, const CutState *before, Vector &u);
  double assemble_seconds = 0, setup_seconds = 0;
  int    linear_iterations = 0; ///< of the last state

private:
  struct Known
  {
    Vector                force, u; ///< on the unknowns
    std::array<double, 2> callus;
  };
  Vector start(const Vector &force, const CutLaw &law) const;
  Vector bonded_force(const Vector &nodal, const Vector &u) const;
  const Elasticity            &elasticity_;
  const CutFaces              &cut_;
  CgOptions                    options_;
  std::vector<ThreadFace>      threads_;
  std::unique_ptr<CgConstruct> system_;
  CgConstruct::Cut             how_;
  std::vector<Known>           known_; ///< the newest last; of the system in use
};
} // namespace stifle::solver
