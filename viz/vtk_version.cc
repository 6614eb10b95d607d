#include "viz/vtk_version.h"
#include <vtkVersion.h>

namespace stifle::viz
{
std::string vtk_version() { return vtkVersion::GetVTKVersion(); }
} // namespace stifle::viz
