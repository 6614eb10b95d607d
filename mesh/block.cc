#include "mesh/block.h"
#include "models/core/error.h"
#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace stifle::mesh
{
namespace
{
/// Points sit on a lattice with two steps a cell, so that face and body centres have whole numbers too. The fourth
/// number is 1 on the upper copy of the cut.
using Lattice = std::array<unsigned, 4>;

class BlockBuilder
{
public:
  explicit BlockBuilder(const BlockOptions &options) : o_(options)
  {
    check();
    for (unsigned k = 0; k < o_.cells[2]; ++k)
      for (unsigned j = 0; j < o_.cells[1]; ++j)
        for (unsigned i = 0; i < o_.cells[0]; ++i)
          add_hexahedron(i, j, k);
    if (o_.merge_mm > 0)
      merge_points();
    name_surfaces();
  }

  TetMesh mesh;

private:
  void check()
  {
    for (int axis = 0; axis < 3; ++axis)
    {
      std::vector<double> &l = o_.lines[axis];
      const unsigned n = o_.cells[axis];
      if (n == 0)
        throw Error(fmt::format("block: axis {} has no cells", axis));
      if (l.empty())
        for (unsigned i = 0; i <= n; ++i)
          l.push_back(double(i) / n);
      if (l.size() != n + 1 || !std::is_sorted(l.begin(), l.end()))
        throw Error(fmt::format("block: axis {} needs {} rising lines, {} given", axis, n + 1, l.size()));
    }
    if (o_.split != 6 && o_.split != 24)
      throw Error(fmt::format("block: split is {}; allowed: 6, 24", o_.split));
    if (o_.cut_layer >= o_.cells[2] && o_.cut_layer > 0)
      throw Error(fmt::format("block: cut layer {} outside 1 to {}", o_.cut_layer, o_.cells[2] - 1));
  }

  Vector3 reference(const Lattice &p) const
  {
    Vector3 x;
    for (int axis = 0; axis < 3; ++axis)
    {
      const std::vector<double> &l = o_.lines[axis];
      const unsigned i = p[axis] / 2;
      x[axis] = p[axis] % 2 ? 0.5 * (l[i] + l[i + 1]) : l[i];
    }
    return x;
  }

  bool upper(unsigned k) const { return o_.cut_layer > 0 && k >= o_.cut_layer; }

  unsigned point(Lattice p, bool is_upper)
  {
    p[3] = is_upper;
    const auto [it, fresh] = index_.emplace(p, mesh.points.size());
    if (fresh)
    {
      const Vector3 x = reference(p);
      mesh.points.push_back(o_.map ? o_.map(x) : x);
      lattice_.push_back(p);
    }
    return it->second;
  }

  unsigned part_of(const Vector3 &centre, bool is_upper)
  {
    std::string name = o_.part ? o_.part(centre) : "block";
    if (o_.cut_layer > 0)
      name += is_upper ? "_proximal" : "_distal";
    const int found = mesh.find_part(name);
    if (found >= 0)
      return found;
    mesh.parts.push_back(name);
    mesh.component.push_back(o_.cut_layer == 0 ? o_.component : is_upper ? 0 : 1);
    return mesh.parts.size() - 1;
  }

  void add_tetrahedron(unsigned a, unsigned b, unsigned c, unsigned d, unsigned part)
  {
    mesh.tetrahedra.push_back({a, b, c, d});
    mesh.part.push_back(part);
    if (volume(mesh, mesh.tetrahedra.size() - 1) < 0)
      std::swap(mesh.tetrahedra.back()[0], mesh.tetrahedra.back()[1]);
  }

  void add_hexahedron(unsigned i, unsigned j, unsigned k)
  {
    const Lattice centre = {2 * i + 1, 2 * j + 1, 2 * k + 1, 0};
    if (o_.keep && !o_.keep(reference(centre)))
      return;
    const bool up = upper(k);
    const unsigned part = part_of(reference(centre), up);
    auto corner = [&](unsigned a, unsigned b, unsigned c) { return point({2 * (i + a), 2 * (j + b), 2 * (k + c), 0}, up); };
    if (o_.split == 6)
    {
      // Kuhn: one tetrahedron per order of the axes, along the edges of a path from corner 000 to corner 111.
      static const int order[6][3] = {{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}};
      for (const auto &p : order)
      {
        std::array<unsigned, 3> at = {0, 0, 0};
        std::array<unsigned, 4> t;
        t[0] = corner(0, 0, 0);
        for (int s = 0; s < 3; ++s)
        {
          at[p[s]] = 1;
          t[s + 1] = corner(at[0], at[1], at[2]);
        }
        add_tetrahedron(t[0], t[1], t[2], t[3], part);
      }
      return;
    }
    const unsigned body = point(centre, up);
    for (int axis = 0; axis < 3; ++axis)
      for (unsigned side = 0; side < 2; ++side)
      {
        Lattice face = centre;
        face[axis] += side ? 1 : -1;
        const unsigned middle = point(face, up);
        static const unsigned ring[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
        unsigned loop[4];
        for (int r = 0; r < 4; ++r)
        {
          std::array<unsigned, 3> at;
          at[axis] = side, at[(axis + 1) % 3] = ring[r][0], at[(axis + 2) % 3] = ring[r][1];
          loop[r] = corner(at[0], at[1], at[2]);
        }
        for (int r = 0; r < 4; ++r)
          add_tetrahedron(loop[r], loop[(r + 1) % 4], middle, body, part);
      }
  }

  /// Joins near points of the same side of the cut and drops tetrahedra that lost their volume.
  void merge_points()
  {
    std::vector<unsigned> order(mesh.points.size()), target(mesh.points.size());
    for (unsigned i = 0; i < order.size(); ++i)
      order[i] = target[i] = i;
    std::sort(order.begin(), order.end(), [&](unsigned a, unsigned b) { return mesh.points[a].x() < mesh.points[b].x(); });
    for (std::size_t a = 0; a < order.size(); ++a)
      for (std::size_t b = a + 1; b < order.size(); ++b)
      {
        const unsigned p = order[a], q = order[b];
        if (mesh.points[q].x() - mesh.points[p].x() > o_.merge_mm)
          break;
        if (lattice_[p][3] == lattice_[q][3] && (mesh.points[p] - mesh.points[q]).norm() < o_.merge_mm)
          target[p] = target[q] = std::min(target[p], target[q]);
      }
    compact(target);
  }

  void compact(std::vector<unsigned> target)
  {
    TetMesh merged = mesh;
    std::vector<Lattice> lattice;
    std::vector<unsigned> fresh(target.size());
    merged.points.clear(), merged.tetrahedra.clear(), merged.part.clear();
    for (unsigned i = 0; i < target.size(); ++i)
      if (target[i] == i)
      {
        fresh[i] = merged.points.size();
        merged.points.push_back(mesh.points[i]);
        lattice.push_back(lattice_[i]);
      }
    for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
    {
      Tetrahedron c = mesh.tetrahedra[t];
      for (unsigned &v : c)
      {
        while (target[v] != v)
          v = target[v];
        v = fresh[v];
      }
      Tetrahedron s = c;
      std::sort(s.begin(), s.end());
      if (std::adjacent_find(s.begin(), s.end()) != s.end())
        continue;
      merged.tetrahedra.push_back(c);
      merged.part.push_back(mesh.part[t]);
    }
    mesh = std::move(merged);
    // The lattice place of a merged point is ambiguous on the seam only, where no boundary face is left.
    lattice_ = std::move(lattice);
  }

  std::string surface_of(const Triangle &t, std::size_t tetrahedron) const
  {
    for (int axis = 0; axis < 3; ++axis)
      for (unsigned side = 0; side < 2; ++side)
      {
        const unsigned at = side ? 2 * o_.cells[axis] : 0;
        if (std::all_of(t.begin(), t.end(), [&](unsigned v) { return lattice_[v][axis] == at; }))
          return std::string(1, "xyz"[axis]) + (side ? "1" : "0");
      }
    if (o_.cut_layer > 0 && std::all_of(t.begin(), t.end(), [&](unsigned v) { return lattice_[v][2] == 2 * o_.cut_layer; }))
      return mesh.component[mesh.part[tetrahedron]] == 0 ? "cut_proximal" : "cut_distal";
    return "inner";
  }

  void name_surfaces()
  {
    for (const char *name : {"x0", "x1", "y0", "y1", "z0", "z1"})
      mesh.surfaces.push_back({name, {}});
    std::map<std::array<Lattice, 3>, BoundaryFace> open; // cut faces of the lower side, waiting for their partner
    std::vector<BoundaryFace> above;
    for (const BoundaryFace &face : boundary_faces(mesh))
    {
      const std::string name = surface_of(face.triangle, face.tetrahedron);
      auto it = std::find_if(mesh.surfaces.begin(), mesh.surfaces.end(), [&](const Surface &s) { return s.name == name; });
      if (it == mesh.surfaces.end())
        it = mesh.surfaces.insert(mesh.surfaces.end(), {name, {}});
      it->triangles.push_back(face.triangle);
      if (name == "cut_distal")
        open.emplace(place(face.triangle), face);
      if (name == "cut_proximal")
        above.push_back(face);
    }
    for (const BoundaryFace &face : above)
      pair_up(face, open);
  }

  std::array<Lattice, 3> place(const Triangle &t) const
  {
    std::array<Lattice, 3> key = {lattice_[t[0]], lattice_[t[1]], lattice_[t[2]]};
    for (Lattice &l : key)
      l[3] = 0;
    std::sort(key.begin(), key.end());
    return key;
  }

  void pair_up(const BoundaryFace &face, const std::map<std::array<Lattice, 3>, BoundaryFace> &open)
  {
    const auto found = open.find(place(face.triangle));
    if (found == open.end())
      return; // the partner was not kept
    FacePair pair;
    pair.a = face.triangle;
    pair.part_a = mesh.part[face.tetrahedron];
    pair.part_b = mesh.part[found->second.tetrahedron];
    for (int c = 0; c < 3; ++c)
      for (unsigned v : found->second.triangle)
        if (std::equal(lattice_[v].begin(), lattice_[v].begin() + 3, lattice_[pair.a[c]].begin()))
          pair.b[c] = v;
    mesh.cut.push_back(pair);
  }

  BlockOptions o_;
  std::map<Lattice, unsigned> index_;
  std::vector<Lattice> lattice_;
};
} // namespace

TetMesh block_mesh(const BlockOptions &options) { return std::move(BlockBuilder(options).mesh); }
} // namespace stifle::mesh
