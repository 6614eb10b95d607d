#include "solver/blas_threads.h"

extern "C"
{
  void openblas_set_num_threads(int);
  int  blas_thread_shutdown_(); // what OpenBLAS does itself before a fork
}

namespace stifle::solver
{
void use_one_blas_thread() { openblas_set_num_threads(1); }

void end_blas_threads() { blas_thread_shutdown_(); }
} // namespace stifle::solver
