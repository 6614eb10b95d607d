// mesh/size_point.h - a place that wants edges of at most a given length (mm)
#pragma once
#include "models/core/units.h"

namespace stifle::mesh
{
struct SizePoint
{
  Vector3 place;
  double size_mm;
};
} // namespace stifle::mesh
