// models/parts/surface_crossing.h - where a surface of triangles passes through itself
//   in      triangles with merged points, mm;  out  pairs of triangles that share no corner and cross, the place of the first
//   limits  triangles that only touch, or lie in one plane, are not told
#pragma once
#include "models/parts/surface.h"

namespace stifle
{
struct SurfaceCrossings
{
  std::size_t pairs = 0;         ///< 0: none
  std::array<int, 2> first = {}; ///< triangles, from 0
  Vector3 place = Vector3::Zero();
};
SurfaceCrossings find_crossings(const TriangleSurface &surface);
/// Throws InputError with the count and the first place.
void check_crossings(const TriangleSurface &surface, const std::string &key, const std::string &file);
} // namespace stifle
