#include "mesh/collapse.h"
#include "mesh/split_mesh.h"
#include <algorithm>
#include <map>
#include <set>

namespace stifle::mesh
{
namespace
{
class Collapser
{
public:
  Collapser(TetMesh &mesh, const Levelling &levelling)
      : mesh_(mesh), levelling_(levelling), around_(mesh.points.size()), free_(mesh.points.size(), false)
  {
    for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
      for (const unsigned v : mesh.tetrahedra[t])
        around_[v].push_back(t);
    for (const BoundaryFace &f : boundary_faces(mesh))
      for (const unsigned v : f.triangle)
        free_[v] = true;
    dead_.assign(mesh.tetrahedra.size(), false);
  }

  unsigned run(double wanted, double longest_mm)
  {
    unsigned merged = 0;
    for (std::size_t t = 0; t < mesh_.tetrahedra.size(); ++t)
      for (int i = 0; i < 4 && !dead_[t] && quality(mesh_, t) < wanted; ++i)
        for (int j = 0; j < 4 && !dead_[t]; ++j)
        {
          const unsigned from = mesh_.tetrahedra[t][i], to = mesh_.tetrahedra[t][j];
          if (i != j && (mesh_.points[from] - mesh_.points[to]).norm() < longest_mm && allowed(from, to) && merge(from, to))
            ++merged;
        }
    compact();
    return merged;
  }

private:
  bool on_cylinder(unsigned v) const
  {
    const Vector3 p = mesh_.points[v] - levelling_.centre;
    return std::abs(std::hypot(p.x(), p.z()) - levelling_.radius_mm) < 1e-5;
  }

  /// A node of the skin never moves inside.
  bool allowed(unsigned from, unsigned to) const
  {
    if (!on_cylinder(from) || !on_cylinder(to) || (free_[from] && !free_[to]))
      return false;
    // Borders of cortex and core may meet in the merged node; plate and screws are not touched.
    const auto is_bone = [&](std::size_t t) { return component_of(mesh_.parts[mesh_.part[t]]) != 2; };
    return std::all_of(around_[from].begin(), around_[from].end(), is_bone) &&
           std::all_of(around_[to].begin(), around_[to].end(), is_bone);
  }

  using Faces = std::map<Triangle, int>;
  static void count_faces(Faces &faces, const Tetrahedron &c)
  {
    for (int out = 0; out < 4; ++out)
    {
      Triangle f;
      for (int i = 0, n = 0; i < 4; ++i)
        if (i != out)
          f[n++] = c[i];
      std::sort(f.begin(), f.end());
      ++faces[f];
    }
  }

  bool merge(unsigned from, unsigned to)
  {
    std::set<std::size_t> star(around_[from].begin(), around_[from].end());
    star.insert(around_[to].begin(), around_[to].end());
    double before = 1, after = 1;
    std::vector<std::pair<std::size_t, Tetrahedron>> kept;
    Faces faces;
    std::set<Tetrahedron> seen;
    for (const std::size_t t : star)
    {
      Tetrahedron &c = mesh_.tetrahedra[t];
      before = std::min(before, quality(mesh_, t));
      if (std::count(c.begin(), c.end(), from) && std::count(c.begin(), c.end(), to))
        continue; // lost with the edge
      const Tetrahedron old = c;
      std::replace(c.begin(), c.end(), from, to);
      after = std::min(after, quality(mesh_, t)); // 0 for an inverted one
      kept.emplace_back(t, c);
      Tetrahedron sorted = c;
      std::sort(sorted.begin(), sorted.end());
      if (!seen.insert(sorted).second)
        after = 0;
      count_faces(faces, c);
      c = old;
    }
    for (const auto &[face, n] : faces)
      if (n > 2)
        after = 0;
    if (after <= before)
      return false;
    for (const std::size_t t : star)
      dead_[t] = true;
    for (const auto &[t, c] : kept)
      dead_[t] = false, mesh_.tetrahedra[t] = c;
    for (const std::size_t t : star)
      for (const unsigned v : mesh_.tetrahedra[t])
        refresh(v);
    around_[from].clear();
    around_[to].clear();
    for (const auto &[t, c] : kept)
      around_[to].push_back(t);
    return true;
  }

  void refresh(unsigned v)
  {
    auto &a = around_[v];
    a.erase(std::remove_if(a.begin(), a.end(), [&](std::size_t t) { return dead_[t]; }), a.end());
  }

  /// Drops dead tetrahedra and the nodes nobody uses.
  void compact()
  {
    TetMesh out;
    std::vector<int> fresh(mesh_.points.size(), -1);
    out.parts = mesh_.parts;
    for (std::size_t t = 0; t < mesh_.tetrahedra.size(); ++t)
    {
      if (dead_[t])
        continue;
      Tetrahedron c = mesh_.tetrahedra[t];
      for (unsigned &v : c)
      {
        if (fresh[v] < 0)
        {
          fresh[v] = out.points.size();
          out.points.push_back(mesh_.points[v]);
        }
        v = fresh[v];
      }
      out.tetrahedra.push_back(c);
      out.part.push_back(mesh_.part[t]);
    }
    mesh_ = std::move(out);
  }

  TetMesh &mesh_;
  const Levelling &levelling_;
  std::vector<std::vector<std::size_t>> around_;
  std::vector<bool> free_, dead_;
};
} // namespace

unsigned collapse_slivers(TetMesh &joined, const Levelling &levelling, double wanted_quality, double longest_mm)
{
  return Collapser(joined, levelling).run(wanted_quality, longest_mm);
}
} // namespace stifle::mesh
