#include "viz/surface_pack.h"
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>

namespace stifle::viz
{
namespace
{
using Triangle = std::array<unsigned, 3>;

template <class T>
void append(std::string &bytes, T value)
{
  bytes.append(reinterpret_cast<const char *>(&value), sizeof value); // the machines it runs on are little endian
}

/// Faces that one tetrahedron of the part alone has, seen from outside.
std::vector<Triangle> faces_of(const FieldData &field, int part)
{
  static const std::array<Triangle, 4> corners = {{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}}};
  std::map<Triangle, std::pair<Triangle, int>> seen;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
    if (field.part[c] == part)
      for (const Triangle &corner : corners)
      {
        const Triangle face = {field.cells[c][corner[0]], field.cells[c][corner[1]], field.cells[c][corner[2]]};
        Triangle key = face;
        std::sort(key.begin(), key.end());
        const auto [entry, is_new] = seen.emplace(key, std::pair(face, 0));
        ++entry->second.second;
      }
  std::vector<Triangle> faces;
  for (const auto &[key, face] : seen)
    if (face.second == 1)
      faces.push_back(face.first);
  return faces;
}

void write_positions(const FieldData &field, const std::vector<unsigned> &points, PackedSurface &surface)
{
  Vector3 low = Vector3::Constant(std::numeric_limits<double>::max()), high = -low;
  for (const unsigned p : points)
  {
    low = low.cwiseMin(field.points_mm[p]);
    high = high.cwiseMax(field.points_mm[p]);
  }
  surface.low = low;
  surface.size = high - low;
  for (const unsigned p : points)
    for (int i = 0; i < 3; ++i)
      append(surface.bytes, std::uint16_t(std::lround(65535 * (field.points_mm[p](i) - low(i)) / std::max(surface.size(i), 1e-9))));
}
} // namespace

SurfacePoints pack_surface(const FieldData &field)
{
  SurfacePoints packed;
  PackedSurface &surface = packed.surface;
  constexpr unsigned unseen = std::numeric_limits<unsigned>::max();
  std::vector<unsigned> number(field.points_mm.size(), unseen), order;
  for (std::size_t part = 0; part < field.part_names.size(); ++part)
  {
    const std::vector<Triangle> faces = faces_of(field, int(part));
    if (faces.empty())
      continue;
    surface.parts.push_back({field.part_names[part], surface.triangles, unsigned(faces.size())});
    surface.triangles += unsigned(faces.size());
    for (const Triangle &face : faces)
      for (const unsigned p : face)
      {
        if (number[p] == unseen) // numbered by first use: neighbours stay near, which packs well
        {
          number[p] = unsigned(packed.point.size());
          packed.point.push_back(p);
        }
        order.push_back(number[p]);
      }
  }
  if (packed.point.empty())
    return packed;
  surface.points = unsigned(packed.point.size());
  write_positions(field, packed.point, surface);
  unsigned before = 0;
  for (const unsigned n : order)
  {
    append(surface.bytes, std::int32_t(n) - std::int32_t(before));
    before = n;
  }
  return packed;
}

PackedField pack_field(const FieldData &field, const std::vector<unsigned> &points)
{
  PackedField packed;
  double largest = 0;
  for (const unsigned p : points)
  {
    append(packed.bytes, float(field.von_mises_mpa[p]));
    largest = std::max(largest, field.displacement_mm[p].cwiseAbs().maxCoeff());
  }
  for (const unsigned p : points)
    append(packed.bytes, float(field.displacement_mm[p].norm()));
  packed.displacement_unit_mm = largest / 32767;
  for (const unsigned p : points)
    for (int i = 0; i < 3; ++i)
      append(packed.bytes, std::int16_t(largest > 0 ? std::lround(field.displacement_mm[p](i) / packed.displacement_unit_mm) : 0));
  return packed;
}
} // namespace stifle::viz
