// solver/cg_workers.h - processes of mpirun that help the first one: each assembles and solves its share of every system
//   process 0 runs the program and writes; the others do nothing but serve, so no code outside knows of them. CgStates of process 0
//   tells them what it is about to do (model, states, end); all then make the same calls, with the same numbers, in the same order
//   limits  each process holds the whole mesh (its matrix is only its share); one model at a time
#pragma once
#include "solver/cg_states.h"

namespace stifle::solver
{
/// Whether mpirun started more than one process; false without mpirun.
bool several_processes();
/// Number of this process, 0 without mpirun.
int process_number();
/// Of the processes above 0: returns when process 0 ends.
void serve_cg();
/// Of process 0, at its end: sends the others home. Does nothing when there are none.
void dismiss_cg();

/// What process 0 tells the others. All do nothing when there are none.
void tell_model(const Elasticity &elasticity, const std::vector<ThreadFace> &threads);
void tell_state(const Vector &nodal, const CutLaw &law, const std::vector<Eigen::Vector2d> &slid);
void tell_end(); ///< of the model
} // namespace stifle::solver
