#include "solver/petsc_session.h"
#include "models/core/error.h"
#include <cstdlib>
#include <string>

namespace stifle::solver
{
namespace
{
std::recursive_mutex &session_mutex()
{
  static std::recursive_mutex mutex;
  return mutex;
}

// Chosen by benchmarks/cg_growth. PETSC_OPTIONS may overrule them for a try.
constexpr const char *choices = "-stifle_mg_levels_ksp_type chebyshev -stifle_mg_levels_ksp_max_it 2 -stifle_mg_levels_pc_type sor "
                                "-stifle_mg_coarse_ksp_type preonly -stifle_mg_coarse_pc_type gamg "
                                "-stifle_mg_coarse_pc_gamg_square_graph 0 -stifle_mg_coarse_pc_gamg_threshold 0.01 "
                                "-stifle_mg_coarse_pc_gamg_coarse_eq_limit 3000";

void start()
{
  // A root user may run one process or more; signals belong to the program.
  setenv("OMPI_ALLOW_RUN_AS_ROOT", "1", 0);
  setenv("OMPI_ALLOW_RUN_AS_ROOT_CONFIRM", "1", 0);
  petsc(PetscOptionsSetValue(nullptr, "-no_signal_handler", "true"));
  petsc(PetscInitializeNoArguments());
  petsc(PetscPushErrorHandler(PetscReturnErrorHandler, nullptr));
  petsc(PetscOptionsInsertString(nullptr, choices));
  if (const char *more = std::getenv("PETSC_OPTIONS"))
    petsc(PetscOptionsInsertString(nullptr, more));
  std::atexit([] { PetscFinalize(); });
}
} // namespace

PetscSession::PetscSession() : lock_(session_mutex())
{
  PetscBool running = PETSC_FALSE;
  PetscInitialized(&running);
  if (!running)
    start();
}

void petsc(PetscErrorCode code)
{
  if (code == 0)
    return;
  const char *text = nullptr;
  char       *more = nullptr;
  PetscErrorMessage(code, &text, &more);
  throw Error(std::string("PETSc: ") + (text ? text : "unknown error") + (more && *more ? std::string(", ") + more : ""));
}
} // namespace stifle::solver
