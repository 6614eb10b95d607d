// viz/vtk_version.h - for summary.json `versions`
#pragma once
#include <string>

namespace stifle::viz
{
std::string vtk_version();
} // namespace stifle::viz
