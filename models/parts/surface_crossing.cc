#include "models/parts/surface_crossing.h"
#include "models/core/error.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <optional>
#include <unordered_map>

namespace stifle
{
namespace
{
using Corners = std::array<Vector3, 3>;

/// Where the open segment passes through the inside of the triangle.
std::optional<Vector3> passes(const Vector3 &from, const Vector3 &to, const Corners &t)
{
  const Vector3 ab = t[1] - t[0], ac = t[2] - t[0], normal = ab.cross(ac);
  const double low = normal.dot(from - t[0]), high = normal.dot(to - t[0]);
  if (!(low * high < 0))
    return {};
  const Vector3 p = from + low / (low - high) * (to - from), ap = p - t[0];
  const double whole = normal.squaredNorm(), v = normal.dot(ap.cross(ac)) / whole, w = normal.dot(ab.cross(ap)) / whole;
  return v > 0 && w > 0 && v + w < 1 ? std::optional<Vector3>(p) : std::nullopt;
}

std::optional<Vector3> cross(const Corners &a, const Corners &b)
{
  for (int i = 0; i < 3; ++i)
  {
    if (const auto p = passes(a[i], a[(i + 1) % 3], b))
      return p;
    if (const auto p = passes(b[i], b[(i + 1) % 3], a))
      return p;
  }
  return {};
}

/// Triangles by the cells of a grid that their boxes touch; a pair is met in the cell of the low corner of its common box only.
class Crossings
{
public:
  explicit Crossings(const TriangleSurface &surface) : s_(surface)
  {
    double sum = 0;
    for (const auto &t : s_.triangles)
      sum += (s_.points[t[1]] - s_.points[t[0]]).norm() / double(s_.triangles.size());
    cell_ = std::max(2 * sum, 1e-9);
    for (std::size_t i = 0; i < s_.triangles.size(); ++i)
      add(int(i));
    for (const auto &[key, list] : cells_)
      for (std::size_t i = 0; i < list.size(); ++i)
        for (std::size_t j = i + 1; j < list.size(); ++j)
          judge(list[i], list[j], key);
  }
  SurfaceCrossings found;

private:
  using Cell = std::array<int, 3>;
  struct Hash
  {
    std::size_t operator()(const Cell &c) const { return std::size_t(c[0]) * 73856093u ^ std::size_t(c[1]) * 19349663u ^ std::size_t(c[2]) * 83492791u; }
  };
  Corners corners(int t) const { return {s_.points[s_.triangles[t][0]], s_.points[s_.triangles[t][1]], s_.points[s_.triangles[t][2]]}; }
  Eigen::AlignedBox3d box(int t) const
  {
    Eigen::AlignedBox3d b;
    for (const Vector3 &p : corners(t))
      b.extend(p);
    return b;
  }
  Cell cell(const Vector3 &p) const { return {int(std::floor(p.x() / cell_)), int(std::floor(p.y() / cell_)), int(std::floor(p.z() / cell_))}; }
  void add(int t)
  {
    const auto b = box(t);
    const Cell low = cell(b.min()), high = cell(b.max());
    for (int x = low[0]; x <= high[0]; ++x)
      for (int y = low[1]; y <= high[1]; ++y)
        for (int z = low[2]; z <= high[2]; ++z)
          cells_[{x, y, z}].push_back(t);
  }
  void judge(int a, int b, const Cell &key)
  {
    const auto common = box(a).intersection(box(b));
    if (common.isEmpty() || cell(common.min()) != key)
      return;
    for (const int p : s_.triangles[a])
      for (const int q : s_.triangles[b])
        if (p == q)
          return;
    const auto place = cross(corners(a), corners(b));
    if (!place)
      return;
    const std::array<int, 2> pair = {std::min(a, b), std::max(a, b)};
    if (found.pairs++ == 0 || pair < found.first) // whatever the order of the cells
      found.first = pair, found.place = *place;
  }

  const TriangleSurface &s_;
  double cell_ = 1;
  std::unordered_map<Cell, std::vector<int>, Hash> cells_;
};
} // namespace

SurfaceCrossings find_crossings(const TriangleSurface &surface) { return Crossings(surface).found; }

void check_crossings(const TriangleSurface &surface, const std::string &key, const std::string &file)
{
  const SurfaceCrossings c = find_crossings(surface);
  if (c.pairs > 0)
    throw InputError({InputProblem{
        file, 0, 0, fmt::format("{}: the surface passes through itself ({} pairs of triangles)", key, c.pairs),
        fmt::format("triangles {} and {} near x = {:.2f}, y = {:.2f}, z = {:.2f} mm", c.first[0] + 1, c.first[1] + 1, c.place.x(),
                    c.place.y(), c.place.z()),
        "a surface without crossings", "", key.substr(0, key.find('.'))}});
}
} // namespace stifle
