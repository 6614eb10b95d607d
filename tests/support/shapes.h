// tests/support/shapes.h - closed surfaces of triangles with known measures, and their STL files
#pragma once
#include "models/parts/surface.h"
#include <cstdint>
#include <cstring>
#include <fmt/format.h>
#include <map>

namespace stifle::test
{
/// Corners on a sphere: an icosahedron, each triangle divided in four `times` times. Edges about 1.1 R / 2^times.
inline TriangleSurface sphere(double radius, int times)
{
  const double g = (1 + std::sqrt(5.0)) / 2;
  TriangleSurface s{{{-1, g, 0},
                     {1, g, 0},
                     {-1, -g, 0},
                     {1, -g, 0},
                     {0, -1, g},
                     {0, 1, g},
                     {0, -1, -g},
                     {0, 1, -g},
                     {g, 0, -1},
                     {g, 0, 1},
                     {-g, 0, -1},
                     {-g, 0, 1}},
                    {{0, 11, 5},  {0, 5, 1},  {0, 1, 7},  {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4},
                     {11, 10, 2}, {10, 7, 6}, {7, 1, 8},  {3, 9, 4},  {3, 4, 2},   {3, 2, 6}, {3, 6, 8},
                     {3, 8, 9},   {4, 9, 5},  {2, 4, 11}, {6, 2, 10}, {8, 6, 7},   {9, 8, 1}}};
  for (int i = 0; i < times; ++i)
  {
    std::map<std::pair<int, int>, int> middles;
    const auto middle = [&](int a, int b)
    {
      const auto [place, is_new] = middles.try_emplace({std::min(a, b), std::max(a, b)}, int(s.points.size()));
      if (is_new)
        s.points.push_back((s.points[a].normalized() + s.points[b].normalized()).eval());
      return place->second;
    };
    std::vector<std::array<int, 3>> finer;
    for (const auto &[a, b, c] : s.triangles)
    {
      const int ab = middle(a, b), bc = middle(b, c), ca = middle(c, a);
      finer.insert(finer.end(), {{a, ab, ca}, {ab, b, bc}, {ca, bc, c}, {ab, bc, ca}});
    }
    s.triangles = finer;
  }
  for (Vector3 &p : s.points)
    p = radius * p.normalized();
  return s;
}

/// A block of 12 triangles.
inline TriangleSurface block(const Vector3 &low, const Vector3 &high)
{
  TriangleSurface s;
  for (int i = 0; i < 8; ++i)
    s.points.emplace_back(i & 1 ? high.x() : low.x(), i & 2 ? high.y() : low.y(), i & 4 ? high.z() : low.z());
  s.triangles = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                 {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
  return s;
}

/// Axis y, ends closed by a fan; n sides, n_long rings.
inline TriangleSurface cylinder(double radius, double length, int n, int n_long)
{
  TriangleSurface s;
  for (int j = 0; j <= n_long; ++j)
    for (int i = 0; i < n; ++i)
      s.points.emplace_back(radius * std::cos(2 * pi * i / n), length * (double(j) / n_long - 0.5),
                            radius * std::sin(2 * pi * i / n));
  const int first = int(s.points.size());
  s.points.emplace_back(0, -length / 2, 0);
  s.points.emplace_back(0, length / 2, 0);
  for (int i = 0; i < n; ++i)
  {
    const int next = (i + 1) % n;
    for (int j = 0; j < n_long; ++j)
    {
      const int a = j * n + i, b = j * n + next, c = a + n, d = b + n;
      s.triangles.insert(s.triangles.end(), {{a, c, b}, {b, c, d}});
    }
    s.triangles.push_back({first, i, next});
    s.triangles.push_back({first + 1, n_long * n + next, n_long * n + i});
  }
  return s;
}

inline TriangleSurface moved(TriangleSurface s, const Matrix3 &turn, const Vector3 &shift)
{
  for (Vector3 &p : s.points)
    p = turn * p + shift;
  return s;
}

inline TriangleSurface joined(TriangleSurface a, const TriangleSurface &b)
{
  const int n = int(a.points.size());
  a.points.insert(a.points.end(), b.points.begin(), b.points.end());
  for (const auto &t : b.triangles)
    a.triangles.push_back({t[0] + n, t[1] + n, t[2] + n});
  return a;
}

inline std::string ascii_stl(const TriangleSurface &s)
{
  std::string text = "solid shape facet\n";
  for (const auto &t : s.triangles)
  {
    text += "facet normal 0 0 0\n outer loop\n";
    for (const int p : t)
      text += fmt::format("  vertex {:.9g} {:.9g} {:.9e}\n", s.points[p].x(), s.points[p].y(), s.points[p].z());
    text += " endloop\nendfacet\n";
  }
  return text + "endsolid shape\n";
}

inline std::string binary_stl(const TriangleSurface &s, const std::string &header = "shape")
{
  std::string bytes = header;
  bytes.resize(80, ' ');
  const auto put = [&bytes](const auto &value) { bytes.append(reinterpret_cast<const char *>(&value), sizeof value); };
  put(std::uint32_t(s.triangles.size()));
  for (const auto &t : s.triangles)
  {
    for (int i = 0; i < 3; ++i)
      put(0.0f);
    for (const int p : t)
      for (int i = 0; i < 3; ++i)
        put(float(s.points[p][i]));
    put(std::uint16_t(0));
  }
  return bytes;
}
} // namespace stifle::test
