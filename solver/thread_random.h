// solver/thread_random.h - rand() and srand() of the C library, one sequence per thread instead of one per process
//   why    METIS calls srand and rand, Gmsh too. With one sequence for the process, ordering one slope in one thread while
//          another thread meshes changed both: digits depended on the number of threads. A program that links this file
//          replaces the two functions, for its shared libraries as well; the numbers are those of the C library.
#pragma once

namespace stifle::solver
{
/// Does nothing; a call brings the replacement into the program.
void keep_random_per_thread();
} // namespace stifle::solver
