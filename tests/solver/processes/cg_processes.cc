// Run by ctest under mpirun -n 2 (CgProcesses.*): process 0 solves a plated block with the other's help and compares with the
// factor. Ends with 0 when every requirement holds on at least two processes.
#include "solver/cg_workers.h"
#include "models/core/error.h"
#include "tests/solver/plated_block.h"
#include <cstdio>

using namespace stifle;
using namespace stifle::solver;

namespace
{
bool holds(const char *what, double found, double allowed)
{
  std::printf("%s %s: %.2e, allowed %.2e\n", found <= allowed ? "holds " : "BROKEN", what, found, allowed);
  return found <= allowed;
}

double difference(const ConstructModel &a, const ConstructModel &b)
{
  return (a.displacement() - b.displacement()).cwiseAbs().maxCoeff() / b.displacement().cwiseAbs().maxCoeff();
}

// Requirement: the displacement is that of the factor to 1e-6 of the largest (issue 8), bonded and in contact.
bool compare()
{
  const auto         construct = plated_block();
  ConstructMaterials springs   = plated_materials();
  springs.bonded_threads       = false;
  const std::vector<PointForce> loads = {top_load({-3, 1, 60}, {30, 40, -600})};
  ConstructModel cg(construct, block_anatomy(), Levelling(), springs, SolverKind::cg);
  ConstructModel direct(construct, block_anatomy(), Levelling(), springs);
  CutLaw         bonded, fresh;
  bonded.bonded = true;
  bool good     = true;
  for (const CutLaw &law : {bonded, fresh})
  {
    good = cg.solve(loads, law).converged && direct.solve(loads, law).converged && good;
    good = holds(law.bonded ? "bonded, displacement" : "contact, displacement", difference(cg, direct), 1e-6) && good;
  }
  return good;
}
} // namespace

int main()
try
{
  if (process_number() > 0)
    return serve_cg(), 0;
  const bool several = holds("processes missing", several_processes() ? 0 : 1, 0);
  const bool good    = compare();
  dismiss_cg();
  return several && good ? 0 : 1;
}
catch (const Error &error)
{
  std::printf("%s\n", error.what());
  std::abort(); // mpirun ends the others
}
