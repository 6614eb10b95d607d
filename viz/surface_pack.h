// viz/surface_pack.h - the surface of a field file made small for the page: what WebGL draws, part by part
//   points   corners of the faces that bound each part (so also the borders between parts), undeformed, mm, frame of the file;
//            uint16 over the box: 0.003 mm on a 200 mm tibia. Triangles: int32, difference from the index before
//   values   what is printed: von Mises stress, MPa, and size of the displacement, mm, the numbers of the file as float32 (7 digits);
//            what is only drawn: displacement vector, int16 x 3 over its largest component
//   limits   corners only: a face of the quadratic tetrahedron is drawn flat, values at its mid-sides are left out
//   bytes    little endian, one array after the other
#pragma once
#include "solver/results.h"

namespace stifle::viz
{
struct PackedPart
{
  std::string name;
  unsigned first_triangle = 0, triangles = 0;
};

struct PackedSurface
{
  std::string bytes; ///< uint16 positions[3 * points], int32 index differences[3 * triangles]
  unsigned points = 0, triangles = 0;
  Vector3 low = Vector3::Zero(), size = Vector3::Zero(); ///< of the box, mm
  std::vector<PackedPart> parts;
};

struct PackedField
{
  std::string bytes; ///< float32 von_mises[points], float32 displacement_size[points], int16 displacement[3 * points]
  double displacement_unit_mm = 0; ///< of one count
};

/// The points of a field that its surface keeps, in the order of the surface; makes fields of states on one mesh agree.
struct SurfacePoints
{
  PackedSurface surface;
  std::vector<unsigned> point; ///< index in the field file
};
SurfacePoints pack_surface(const FieldData &field);
PackedField pack_field(const FieldData &field, const std::vector<unsigned> &points);
} // namespace stifle::viz
