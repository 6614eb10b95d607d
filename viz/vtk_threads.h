// viz/vtk_threads.h - VTK within the threads that the user allows
#pragma once

namespace stifle::viz
{
/// Before the first filter, reader or writer: the one that calls it works alone. Otherwise the filters of Debian's VTK start a thread a
/// processor (TBB), whatever `--threads` says, in every process of a study. Measured: pictures and report take as long either way.
void keep_vtk_on_one_thread();
} // namespace stifle::viz
