// models/parts/surface.h - a surface of triangles from an STL file, and what has to hold before it may be used
//   in      STL, binary or ASCII, right limb, mm; whether it is binary is decided by the size, never by the word "solid"
//   out     points (equal points merged), triangles counterclockwise seen from outside
//   limits  300 MB, 1 000 000 triangles (a scan of a canine tibia has 10 000 to 500 000: assumption)
//   errors  InputError naming the file, and the line of an ASCII file
#pragma once
#include "models/core/units.h"
#include <array>
#include <string>
#include <vector>

namespace stifle
{
constexpr std::size_t max_surface_bytes = 300'000'000, max_surface_triangles = 1'000'000;

struct TriangleSurface
{
  std::vector<Vector3> points;               ///< mm
  std::vector<std::array<int, 3>> triangles; ///< indices of points
};

TriangleSurface read_stl(const std::string &file);
/// The same from the bytes of a file; `file` is only named.
TriangleSurface parse_stl(const std::string &bytes, const std::string &file);

/// What a bone looks like. All three limits are assumptions, wide enough for a piece of the bone that carries the joint.
struct SurfaceExpectations
{
  std::string bone = "bone";         ///< word of the messages
  std::string key = "";              ///< scenario key of the messages, may be empty
  double length_mm = 0;              ///< longest side of the bounding box of the whole bone; 0: not judged
  double least_part = 0.15;          ///< ... a piece may be this much shorter
  double most_part = 1.4;            ///< ... and a bone this much longer
  double origin_least_mm = 0;        ///< distance from the origin of the frame to the surface
  double origin_most_mm = 0;         ///< 0: not judged
  std::string origin = "the origin"; ///< what the origin is
  double open_share = 0.02;          ///< edges with one triangle / all edges
};

/// Throws InputError with every problem found: not finite, empty, degenerate or repeated triangles, edges of more than two
/// triangles, neighbours turned against each other, open edges, inside out, implausible units, not in its frame.
void check_surface(const TriangleSurface &surface, const SurfaceExpectations &expectations, const std::string &file);

/// Sum of triangle areas, mm^2.
double surface_area_mm2(const TriangleSurface &surface);

/// From a point to the nearest point of any triangle; infinite without one.
double distance_mm(const TriangleSurface &surface, const Vector3 &from);
} // namespace stifle
