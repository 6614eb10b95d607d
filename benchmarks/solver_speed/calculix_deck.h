// benchmarks/solver_speed/calculix_deck.h - the same mesh as a CalculiX job, cut and threads bonded (coincident nodes joined)
//   deck    C3D10, one linear static step, the nodal loads given, talar patch held; N, mm, MPa; 12 digits (longer numbers
//           are read wrong by CalculiX)
#pragma once
#include "solver/elasticity.h"

namespace stifle::bench
{
/// Writes FOLDER/job.inp. `force` has 3 entries per node.
void write_deck(const std::string &folder, const solver::Elasticity &elasticity, const solver::Vector &force);

struct ProcessCost
{
  bool   ok = false;
  double seconds = 0, peak_mb = 0;
};
/// Runs /usr/bin/ccx on FOLDER/job.inp with so many threads.
ProcessCost run_calculix(const std::string &folder, int threads);
} // namespace stifle::bench
