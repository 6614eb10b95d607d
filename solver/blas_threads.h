// solver/blas_threads.h - one thread of OpenBLAS a process: slopes and panels are what runs side by side here
#pragma once

namespace stifle::solver
{
void use_one_blas_thread();
/// Ends the threads that OpenBLAS started while it was loaded: no signal can be kept from them. Before any other use of BLAS.
void end_blas_threads();
} // namespace stifle::solver
