#include "viz/vtk_threads.h"
#include <vtkMultiThreader.h>
#include <vtkSMPTools.h>

namespace stifle::viz
{
void keep_vtk_on_one_thread()
{
  [[maybe_unused]] static const bool done = [] {
    vtkMultiThreader::SetGlobalDefaultNumberOfThreads(1);
    return vtkSMPTools::SetBackend("Sequential");
  }();
}
} // namespace stifle::viz
