#include "models/core/error.h"
#include "scenarios/checks/check_model.h"
#include <algorithm>
#include <cmath>
#include <map>

namespace stifle::checks
{
namespace
{
using Key = std::pair<long long, long long>;
Key key(const Vector2 &p) { return {std::llround(p[0] * 1e7), std::llround(p[1] * 1e7)}; }
} // namespace

bool same(double a, double b) { return std::abs(a - b) < 1e-9; }

std::vector<double> steps(double a, double b, int n)
{
  std::vector<double> result;
  for (int i = 0; i <= n; ++i)
    result.push_back(a + (b - a) * i / n);
  return result;
}

void Section::add_grid(int n_u, int n_v, const std::function<Vector2(int, int)> &place, unsigned part_number)
{
  std::map<Key, unsigned> known;
  for (unsigned i = 0; i < points.size(); ++i)
    known[key(points[i])] = i;
  const auto number = [&](int i, int j) {
    const Vector2 p                  = place(i, j);
    const auto [position, was_added] = known.insert({key(p), static_cast<unsigned>(points.size())});
    if (was_added)
      points.push_back(p);
    return position->second;
  };
  const auto add = [&](unsigned a, unsigned b, unsigned c) {
    if (a == b || b == c || a == c) // a side of the quadrilateral has length zero
      return;
    triangles.push_back({{a, b, c}});
    part.push_back(part_number);
  };
  for (int j = 0; j < n_v; ++j)
    for (int i = 0; i < n_u; ++i)
    {
      const unsigned a = number(i, j), b = number(i + 1, j), c = number(i + 1, j + 1), d = number(i, j + 1);
      add(a, b, c);
      add(a, c, d);
    }
}

Section rectangle(const std::vector<double> &u, const std::vector<double> &v)
{
  Section section;
  section.add_grid(static_cast<int>(u.size()) - 1, static_cast<int>(v.size()) - 1,
                   [&](int i, int j) { return Vector2(u[i], v[j]); });
  return section;
}

void orient(mesh::TetMesh &mesh)
{
  for (std::size_t i = 0; i < mesh.tetrahedra.size(); ++i)
  {
    if (mesh::volume(mesh, i) < 0)
      std::swap(mesh.tetrahedra[i][2], mesh.tetrahedra[i][3]);
    if (mesh::quality(mesh, i) < 1e-3)
      throw Error("check body: tetrahedron " + std::to_string(i) + " is flat");
  }
}

Body extrude(const Section &section, const std::vector<double> &levels, const Map &map, const std::vector<std::string> &parts)
{
  Body           body;
  const unsigned n = static_cast<unsigned>(section.points.size());
  for (const double w : levels)
    for (const Vector2 &p : section.points)
    {
      body.parameter.push_back({p[0], p[1], w});
      body.mesh.points.push_back(map(body.parameter.back()));
    }
  for (unsigned l = 0; l + 1 < levels.size(); ++l)
    for (std::size_t t = 0; t < section.triangles.size(); ++t)
    {
      std::array<unsigned, 3> s = section.triangles[t];
      std::sort(s.begin(), s.end());
      const unsigned low = l * n, high = low + n;
      for (const mesh::Tetrahedron &tet : {mesh::Tetrahedron{{s[0] + low, s[1] + low, s[2] + low, s[2] + high}},
                                           mesh::Tetrahedron{{s[0] + low, s[1] + low, s[1] + high, s[2] + high}},
                                           mesh::Tetrahedron{{s[0] + low, s[0] + high, s[1] + high, s[2] + high}}})
      {
        body.mesh.tetrahedra.push_back(tet);
        body.mesh.part.push_back(section.part[t]);
      }
    }
  body.mesh.parts = parts;
  body.mesh.component.assign(parts.size(), 0);
  orient(body.mesh);
  return body;
}

Body block(const std::vector<double> &u, const std::vector<double> &v, const std::vector<double> &w, const Map &map)
{
  return extrude(rectangle(u, v), w, map);
}
} // namespace stifle::checks
