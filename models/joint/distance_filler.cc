#include "models/joint/distance_filler.h"
#include <algorithm>
#include <limits>
#include <queue>

namespace stifle
{
namespace
{
constexpr double near_cells = 2;
constexpr double infinity = std::numeric_limits<double>::infinity();

double angle(const Vector3 &a, const Vector3 &b) { return std::atan2(a.cross(b).norm(), a.dot(b)); }
} // namespace

SurfaceSigns::SurfaceSigns(const TriangleSurface &surface) : surface_(surface)
{
  const int n = int(surface.triangles.size());
  edge_normals_.assign(n, {Vector3::Zero(), Vector3::Zero(), Vector3::Zero()});
  point_normals_.assign(surface.points.size(), Vector3::Zero());
  on_rim_.assign(surface.points.size(), 0);
  std::vector<std::pair<std::uint64_t, std::array<int, 2>>> edges;
  for (int t = 0; t < n; ++t)
  {
    const auto &corners = surface.triangles[t];
    const auto &p = surface.points;
    face_normals_.push_back((p[corners[1]] - p[corners[0]]).cross(p[corners[2]] - p[corners[0]]).normalized());
    for (int k = 0; k < 3; ++k)
    {
      const int a = corners[k], b = corners[(k + 1) % 3], c = corners[(k + 2) % 3];
      point_normals_[a] += angle(p[b] - p[a], p[c] - p[a]) * face_normals_.back();
      edges.push_back({std::uint64_t(std::min(a, b)) << 32 | std::uint64_t(std::max(a, b)), {t, k}});
    }
  }
  std::sort(edges.begin(), edges.end());
  for (std::size_t i = 0, next = 0; i < edges.size(); i = next)
  {
    Vector3 sum = Vector3::Zero();
    for (; next < edges.size() && edges[next].first == edges[i].first; ++next)
      sum += face_normals_[edges[next].second[0]];
    if (next == i + 1)
      on_rim_[edges[i].first >> 32] = on_rim_[edges[i].first & 0xffffffff] = 1;
    for (std::size_t k = i; k < next; ++k)
      edge_normals_[edges[k].second[0]][edges[k].second[1]] = next == i + 1 ? Vector3::Zero() : sum;
  }
}

double SurfaceSigns::signed_distance(const Vector3 &p, int t) const
{
  const auto [point, feature] = nearest(p, t);
  const auto &corners = surface_.triangles[t];
  const Vector3 away = p - point;
  const double distance = away.norm();
  if (feature == 0)
    return away.dot(face_normals_[t]) < 0 ? -distance : distance;
  if (feature <= 3)
    return !on_rim_[corners[feature - 1]] && away.dot(point_normals_[corners[feature - 1]]) < 0 ? -distance : distance;
  return away.dot(edge_normals_[t][feature - 4]) < 0 ? -distance : distance;
}

void DistanceFiller::near_triangle(int t)
{
  const auto &[a, b, c] = surface_.triangles[t];
  const Vector3 &pa = surface_.points[a], &pb = surface_.points[b], &pc = surface_.points[c];
  const double reach = near_cells * grid_.cell_;
  const Vector3 low = pa.cwiseMin(pb).cwiseMin(pc).array() - reach, high = pa.cwiseMax(pb).cwiseMax(pc).array() + reach;
  const Eigen::Array3d last = (grid_.size_ - 1).cast<double>();
  const Eigen::Array3d from = ((low - grid_.origin_) / grid_.cell_).array().ceil().max(0).min(last + 1);
  const Eigen::Array3d to = ((high - grid_.origin_) / grid_.cell_).array().floor().min(last).max(-1);
  const DistanceGrid::Index first = from.cast<int>(), end = to.cast<int>();
  const Vector3 normal = (pb - pa).cross(pc - pa).normalized();
  for (int k = first[2]; k <= end[2]; ++k)
    for (int j = first[1]; j <= end[1]; ++j)
      for (int i = first[0]; i <= end[0]; ++i)
      {
        const Vector3 p = node({i, j, k});
        const double height = normal.dot(p - pa);
        const std::size_t n = grid_.at(i, j, k);
        if (height * height >= std::min(squared_[n], reach * reach))
          continue;
        const double squared = signs_.squared_distance(p, t);
        if (squared < std::min(squared_[n], reach * reach))
        {
          squared_[n] = squared;
          nearest_[n] = t;
        }
      }
}

/// Nearest nodes first; each settled node offers its triangle to its neighbours.
void DistanceFiller::spread()
{
  using Entry = std::pair<double, std::size_t>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  for (std::size_t n = 0; n < nearest_.size(); ++n)
    if (nearest_[n] >= 0)
      open.push({squared_[n], n});
  const double reach = DistanceGrid::reach_cells * grid_.cell_;
  while (!open.empty())
  {
    const auto [squared, n] = open.top();
    open.pop();
    if (squared > squared_[n] || grid_.distance_[n] < infinity)
      continue;
    const DistanceGrid::Index here = index(n);
    const int t = nearest_[n];
    grid_.distance_[n] = signs_.signed_distance(node(here), t);
    if (grid_.distance_[n] > reach)
      continue;
    for (int d = 0; d < 27; ++d)
    {
      const DistanceGrid::Index next = here + DistanceGrid::Index(d % 3 - 1, d / 3 % 3 - 1, d / 9 - 1);
      if ((next < 0).any() || (next >= grid_.size_).any())
        continue;
      const std::size_t m = grid_.at(next[0], next[1], next[2]);
      if (nearest_[m] == t || grid_.distance_[m] < infinity)
        continue;
      const double offered = signs_.squared_distance(node(next), t);
      if (offered < squared_[m])
      {
        squared_[m] = offered;
        nearest_[m] = t;
        open.push({offered, m});
      }
    }
  }
}

void DistanceFiller::fill()
{
  grid_.distance_.assign(grid_.nx_ * grid_.ny_ * std::size_t(grid_.size_[2]), infinity);
  nearest_.assign(grid_.distance_.size(), -1);
  squared_.assign(grid_.distance_.size(), infinity);
  for (std::size_t t = 0; t < surface_.triangles.size(); ++t)
    near_triangle(int(t));
  spread();
}
} // namespace stifle
