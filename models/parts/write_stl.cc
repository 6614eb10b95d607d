#include "models/parts/write_stl.h"
#include "models/core/files.h"
#include <cstdint>
#include <cstring>

namespace stifle
{
namespace
{
void append(std::string &bytes, std::uint32_t word)
{
  for (int i = 0; i < 4; ++i)
    bytes += char(word >> (8 * i) & 0xff); // little endian
}
void append(std::string &bytes, const Vector3 &v)
{
  for (int i = 0; i < 3; ++i)
  {
    const float number = float(v[i]);
    std::uint32_t word = 0;
    std::memcpy(&word, &number, sizeof word);
    append(bytes, word);
  }
}
} // namespace

void write_stl(const TriangleSurface &surface, const std::string &file)
{
  std::string bytes = "stifle, mm";
  bytes.resize(80, ' ');
  append(bytes, std::uint32_t(surface.triangles.size()));
  for (const auto &[a, b, c] : surface.triangles)
  {
    const Vector3 &p = surface.points[a];
    append(bytes, Vector3((surface.points[b] - p).cross(surface.points[c] - p).normalized()));
    for (const int corner : {a, b, c})
      append(bytes, surface.points[corner]);
    bytes += std::string(2, '\0');
  }
  write_file(file, bytes);
}
} // namespace stifle
