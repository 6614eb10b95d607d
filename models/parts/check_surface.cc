#include "models/core/error.h"
#include "models/parts/surface.h"
#include <algorithm>
#include <cstdint>
#include <fmt/format.h>
#include <map>
#include <unordered_map>

namespace stifle
{
namespace
{
/// A triangle whose height is below this part of its longest side has no usable normal.
constexpr double least_height_share = 1e-6;

struct Edge
{
  std::uint64_t ends;
  int triangle;
  bool forward;
};

std::string many(std::size_t n, const std::string &one) { return fmt::format("{} {}{}", n, one, n == 1 ? "" : "s"); }

class SurfaceCheck
{
public:
  SurfaceCheck(const TriangleSurface &surface, const SurfaceExpectations &expectations, const std::string &file)
      : s_(surface), wish_(expectations), file_(file)
  {
  }
  void run()
  {
    if (usable())
    {
      units();
      const bool whole = proper_triangles();
      neighbours();
      if (whole && problems_.empty())
        inside_out();
      if (problems_.empty())
        frame();
    }
    if (!problems_.empty())
      throw InputError(problems_);
  }

private:
  void problem(const std::string &message, const std::string &found, const std::string &allowed)
  {
    const std::string key = wish_.key.empty() ? "" : wish_.key + ": ";
    const std::string section = wish_.key.substr(0, std::min(wish_.key.find('.'), wish_.key.size()));
    problems_.push_back({file_, 0, 0, key + message, found, allowed, "", section});
  }
  bool usable();
  void units();
  bool proper_triangles();
  void neighbours();
  void holes(const std::vector<std::array<int, 2>> &open, std::size_t n_edges);
  void inside_out();
  void frame();
  double length(int a, int b) const { return (s_.points[a] - s_.points[b]).norm(); }

  const TriangleSurface &s_;
  const SurfaceExpectations &wish_;
  std::string file_;
  std::vector<InputProblem> problems_;
};

bool SurfaceCheck::usable()
{
  if (s_.triangles.empty())
    problem("the surface has no triangle", "", "a closed surface");
  const int n = int(s_.points.size());
  for (std::size_t i = 0; i < s_.triangles.size() && problems_.empty(); ++i)
    for (const int p : s_.triangles[i])
      if (p < 0 || p >= n || !s_.points[p].allFinite())
      {
        problem(fmt::format("triangle {} has a corner that is not finite or not there", i + 1), "", "finite coordinates, mm");
        break;
      }
  return problems_.empty();
}

void SurfaceCheck::units()
{
  Eigen::AlignedBox3d box;
  for (const auto &triangle : s_.triangles)
    for (const int p : triangle)
      box.extend(s_.points[p]);
  const double size = box.sizes().maxCoeff(), low = wish_.least_part * wish_.length_mm, high = wish_.most_part * wish_.length_mm;
  if (wish_.length_mm <= 0 || (size >= low && size <= high))
    return;
  std::string message = fmt::format("the surface is {:.3g} times as long as the {} should be: another bone or another animal?",
                                    size / wish_.length_mm, wish_.bone);
  std::map<double, std::string> fits; // by how far off the whole bone; of a part of a bone several units may fit
  const std::map<std::string, double> units{{"metres", 1000}, {"centimetres", 10}, {"inches", 25.4}, {"micrometres", 0.001}};
  for (const auto &[name, factor] : units)
    if (size * factor >= low && size * factor <= high)
      fits[std::abs(std::log(size * factor / wish_.length_mm))] = fmt::format("{} (multiply by {:g})", name, factor);
  std::string list;
  for (const auto &[off, text] : fits)
    list += (list.empty() ? "" : " or ") + text;
  if (!fits.empty())
    message = "the surface is not in mm: it looks like " + list;
  problem(message, fmt::format("longest side {:.4g}", size),
          fmt::format("{:.4g} to {:.4g} mm; whole {} {:.4g} mm", low, high, wish_.bone, wish_.length_mm));
}

bool SurfaceCheck::proper_triangles()
{
  std::size_t n_flat = 0, first_flat = 0, n_twice = 0, first_twice = 0;
  std::vector<std::pair<std::array<int, 3>, std::size_t>> sorted;
  for (std::size_t i = 0; i < s_.triangles.size(); ++i)
  {
    std::array<int, 3> t = s_.triangles[i];
    const Vector3 ab = s_.points[t[1]] - s_.points[t[0]], ac = s_.points[t[2]] - s_.points[t[0]];
    const double longest = std::max({ab.squaredNorm(), ac.squaredNorm(), (ac - ab).squaredNorm()});
    if (!(ab.cross(ac).norm() > least_height_share * longest) && n_flat++ == 0)
      first_flat = i + 1;
    std::sort(t.begin(), t.end());
    sorted.emplace_back(t, i + 1);
  }
  std::sort(sorted.begin(), sorted.end());
  for (std::size_t i = 1; i < sorted.size(); ++i)
    if (sorted[i].first == sorted[i - 1].first && n_twice++ == 0)
      first_twice = sorted[i].second;
  if (n_flat > 0)
    problem(fmt::format("{} without area (degenerate)", many(n_flat, "triangle")), fmt::format("triangle {}", first_flat),
            fmt::format("height above {:g} of the longest side", least_height_share));
  if (n_twice > 0)
    problem(fmt::format("{} given twice (duplicate)", many(n_twice, "triangle")), fmt::format("triangle {}", first_twice),
            "each triangle once");
  return n_flat == 0 && n_twice == 0;
}

void SurfaceCheck::neighbours()
{
  std::vector<Edge> edges;
  edges.reserve(3 * s_.triangles.size());
  for (std::size_t i = 0; i < s_.triangles.size(); ++i)
    for (int k = 0; k < 3; ++k)
    {
      const int a = s_.triangles[i][k], b = s_.triangles[i][(k + 1) % 3];
      if (a != b && b != s_.triangles[i][(k + 2) % 3] && a != s_.triangles[i][(k + 2) % 3]) // else named as degenerate
        edges.push_back({std::uint64_t(std::min(a, b)) << 32 | std::uint64_t(std::max(a, b)), int(i), a < b});
    }
  std::sort(edges.begin(), edges.end(),
            [](const Edge &p, const Edge &q) { return std::pair(p.ends, p.triangle) < std::pair(q.ends, q.triangle); });
  std::size_t n_edges = 0, n_many = 0, n_turned = 0;
  std::string first_many, first_turned;
  std::vector<std::array<int, 2>> open;
  for (std::size_t i = 0, next = 0; i < edges.size(); i = next, ++n_edges)
  {
    while (next < edges.size() && edges[next].ends == edges[i].ends)
      ++next;
    const std::size_t n = next - i;
    const std::string pair = n > 1 ? fmt::format("triangles {} and {}", edges[i].triangle + 1, edges[i + 1].triangle + 1) : "";
    if (n > 2 && n_many++ == 0)
      first_many = pair;
    else if (n == 2 && edges[i].forward == edges[i + 1].forward && n_turned++ == 0)
      first_turned = pair;
    else if (n == 1)
      open.push_back({int(edges[i].ends >> 32), int(edges[i].ends & 0xffffffff)});
  }
  if (n_many > 0)
    problem(many(n_many, "edge") + " with more than two triangles (non-manifold)", first_many, "two triangles at each edge");
  if (n_turned > 0)
    problem(many(n_turned, "edge") + " between triangles turned against each other (inconsistent orientation)", first_turned,
            "every triangle counterclockwise seen from outside");
  holes(open, n_edges);
}

void SurfaceCheck::holes(const std::vector<std::array<int, 2>> &open, std::size_t n_edges)
{
  if (double(open.size()) <= wish_.open_share * double(n_edges))
    return;
  std::unordered_map<int, int> parent;
  const auto root = [&parent](int p)
  {
    while (parent.try_emplace(p, p).first->second != p)
      p = parent[p] = parent[parent[p]];
    return p;
  };
  double sum = 0;
  for (const auto &[a, b] : open)
  {
    parent[root(a)] = root(b);
    sum += length(a, b);
  }
  std::unordered_map<int, double> lengths;
  for (const auto &[a, b] : open)
    lengths[root(a)] += length(a, b);
  double longest = 0;
  int longest_hole = 0;
  for (const auto &[hole, rim] : lengths)
    if (rim > longest || (rim == longest && hole < longest_hole))
      longest = rim, longest_hole = hole;
  Vector3 place = Vector3::Zero(); // mean of its rim
  for (const auto &[a, b] : open)
    if (root(a) == longest_hole)
      place += length(a, b) / longest * (s_.points[a] + s_.points[b]) / 2;
  problem("the surface is not closed enough",
          fmt::format("{} ({:.1f} % of all) around {}: {:.4g} mm of rim, the longest {:.4g} mm about x = {:.1f}, y = {:.1f}, "
                      "z = {:.1f} mm",
                      many(open.size(), "open edge"), 100.0 * open.size() / n_edges, many(lengths.size(), "hole"), sum, longest,
                      place.x(), place.y(), place.z()),
          fmt::format("open edges up to {:g} % of all", 100 * wish_.open_share));
}

/// Volume about the mean corner: exact when closed; a small hole cannot change its sign.
void SurfaceCheck::inside_out()
{
  Vector3 middle = Vector3::Zero();
  for (const auto &[a, b, c] : s_.triangles)
    middle += (s_.points[a] + s_.points[b] + s_.points[c]) / (3.0 * s_.triangles.size());
  double volume = 0;
  for (const auto &[a, b, c] : s_.triangles)
    volume += (s_.points[a] - middle).dot((s_.points[b] - middle).cross(s_.points[c] - middle)) / 6;
  if (!(volume > 0) && wish_.open_share < 1)
    problem("the surface is inside out", fmt::format("volume {:.4g} mm^3", volume),
            "every triangle counterclockwise seen from outside");
}

void SurfaceCheck::frame()
{
  const double nearest = distance_mm(s_, Vector3::Zero());
  if (wish_.origin_most_mm > 0 && (nearest < wish_.origin_least_mm || nearest > wish_.origin_most_mm))
    problem(fmt::format("the surface is not in the frame of the {}, whose origin is {}", wish_.bone, wish_.origin),
            fmt::format("{:.4g} mm from the origin", nearest),
            fmt::format("{:.4g} to {:.4g} mm", wish_.origin_least_mm, wish_.origin_most_mm));
}
} // namespace

void check_surface(const TriangleSurface &surface, const SurfaceExpectations &expectations, const std::string &file)
{
  SurfaceCheck(surface, expectations, file).run();
}
} // namespace stifle
