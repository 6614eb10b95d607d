#include "mesh/improve.h"
#include "mesh/split_mesh.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
class Improver
{
public:
  Improver(TetMesh &mesh, const Levelling &levelling, double wanted) : mesh_(mesh), levelling_(levelling), wanted_(wanted)
  {
    around_.resize(mesh.points.size());
    fixed_.assign(mesh.points.size(), false);
    slides_.assign(mesh.points.size(), false);
    for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
      for (const unsigned v : mesh.tetrahedra[t])
      {
        const unsigned first = around_[v].empty() ? t : around_[v][0];
        fixed_[v] = fixed_[v] || (mesh.part[t] != mesh.part[first] && (component(t) == 2 || component(first) == 2));
        slides_[v] = slides_[v] || component(t) != component(first);
        around_[v].push_back(t);
      }
    for (const BoundaryFace &f : boundary_faces(mesh))
      for (const unsigned v : f.triangle)
        fixed_[v] = true;
  }

  unsigned run()
  {
    unsigned moved = 0;
    for (int sweep = 0; sweep < 4; ++sweep)
      for (std::size_t t = 0; t < mesh_.tetrahedra.size(); ++t)
        if (quality(mesh_, t) < wanted_)
          for (const unsigned v : mesh_.tetrahedra[t])
            if (!fixed_[v])
              moved += climb(v);
    return moved;
  }

private:
  unsigned component(std::size_t t) const { return component_of(mesh_.parts[mesh_.part[t]]); }

  /// Nodes of the cut stay on the saw cylinder.
  Vector3 placed(unsigned v, const Vector3 &p) const
  {
    if (!slides_[v])
      return p;
    const Vector3 r(p.x() - levelling_.centre.x(), 0, p.z() - levelling_.centre.z());
    return p + (levelling_.radius_mm / r.norm() - 1) * r;
  }

  double worst(unsigned v) const
  {
    double q = 1;
    for (const std::size_t t : around_[v])
      q = std::min(q, quality(mesh_, t));
    return q;
  }

  /// Pattern search on the worst quality around one node; a move that does not gain is taken back.
  bool climb(unsigned v)
  {
    const Vector3 start = mesh_.points[v];
    double best = worst(v), step = 0;
    for (const unsigned n : mesh_.tetrahedra[around_[v][0]])
      step = std::max(step, 0.25 * (mesh_.points[n] - start).norm());
    const double first = best;
    for (int halving = 0; halving < 7; ++halving, step *= 0.5)
      for (int direction = 0; direction < 26; ++direction)
      {
        const int code = direction < 13 ? direction : direction + 1; // 13 is no move
        const Vector3 d(code % 3 - 1, code / 3 % 3 - 1, code / 9 - 1);
        const Vector3 old = mesh_.points[v];
        mesh_.points[v] = placed(v, old + step * d.normalized());
        if (const double q = worst(v); q > best)
          best = q;
        else
          mesh_.points[v] = old;
      }
    return best > first;
  }

  TetMesh &mesh_;
  const Levelling &levelling_;
  double wanted_;
  std::vector<std::vector<std::size_t>> around_;
  std::vector<bool> fixed_, slides_;
};
} // namespace

unsigned improve(TetMesh &joined, const Levelling &levelling, double wanted_quality)
{
  return Improver(joined, levelling, wanted_quality).run();
}
} // namespace stifle::mesh
