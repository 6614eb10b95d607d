#include "mesh/scan_bone.h"
#include "models/core/error.h"
#include "models/parts/triangle_distance.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace stifle::mesh
{
namespace
{
constexpr double reference_length_mm = 200;
constexpr double depths[] = {1, 4, 8, 12, 16, 20, 24, 29, 35, 42, 50, 58, 70, 82, 100, 120, 140, 160, 180, 190, 197};
constexpr double square_mm = 58;        // depth from which planes are square to the axis
constexpr double loose_top_mm = 8;      // down to it a plane without a single curve is passed over
constexpr double loose_end_part = 0.9;  // of the length: below it likewise
constexpr double other_curve = 0.02;    // area of other curves against the largest: dust
constexpr double above_plateau_mm = 4;  // of the uppermost curves
constexpr double least_wall_mm = 0.3;
constexpr double most_distance_mm = 2.5; // assumption

struct Section
{
  SectionPlane plane;
  double depth; ///< below the plateau along the axis
  PlaneCurve curve;
};

std::vector<Section> planes(const Anatomy &anatomy)
{
  const double k = anatomy.tibia_length_mm / reference_length_mm, slope = std::tan(anatomy.plateau_angle_rad);
  std::vector<Section> all;
  for (const double d : depths)
    all.push_back({{-k * d, slope * std::max(0.0, 1 - (d - depths[0]) / (square_mm - depths[0]))}, k * d, {}});
  return all;
}

/// The curve of each plane; planes near both ends may have none.
std::vector<Section> sections_of(const TriangleSurface &surface, const Anatomy &anatomy, const std::string &key, bool may_end)
{
  const double k = anatomy.tibia_length_mm / reference_length_mm;
  std::vector<Section> found;
  for (Section &s : planes(anatomy))
  {
    auto curves = slice(surface, s.plane);
    const bool single = !curves.empty() && (curves.size() == 1 || area_mm2(curves[1]) < other_curve * area_mm2(curves[0]));
    const bool loose = s.depth <= loose_top_mm * k + 1e-9 || s.depth > loose_end_part * anatomy.tibia_length_mm;
    if (single)
      s.curve = std::move(curves[0]), found.push_back(s);
    else if (!loose && !(may_end && curves.empty()))
      throw Error(fmt::format("bone: {} has {} curves in its section at z = {:.1f} mm where one is needed{}", key, curves.size(),
                              s.plane.height, curves.empty() ? "" : ": fibula or inside of the cortex in the same file?"));
  }
  if (found.size() < 8)
    throw Error(fmt::format("bone: {} has a single curve in {} of {} sections only", key, found.size(), std::size(depths)));
  return found;
}

/// The curves of `b`, carried on beyond it by `times` the step from `a`.
SectionCurve beyond(const SectionCurve &a, const SectionCurve &b, double times)
{
  SectionCurve c = b;
  for (std::size_t i = 0; i < c.medial.size(); ++i)
  {
    c.medial[i] += times * (b.medial[i] - a.medial[i]);
    c.lateral[i] += times * (b.lateral[i] - a.lateral[i]);
  }
  return c;
}

/// The first and the last curve must be plane: the loft closes them with plane caps.
SectionCurve in_plane(SectionCurve c, const SectionPlane &plane)
{
  for (auto *half : {&c.medial, &c.lateral})
    for (Vector3 &p : *half)
      p.z() = plane.z(p.x());
  return c;
}

/// Fitted, from above the plateau down to `end_z` (a section square to the axis).
std::vector<SectionCurve> curves_of(const std::vector<Section> &sections, const Anatomy &anatomy, double end_z)
{
  const double k = anatomy.tibia_length_mm / reference_length_mm;
  std::vector<SectionCurve> curves;
  for (const Section &s : sections)
    if (s.plane.height > end_z + 1)
      curves.push_back(fit_section(s.curve, s.plane));
  const std::size_t n = curves.size();
  const auto height = [&](std::size_t i) { return sections[i].plane.height; };
  const double times = (end_z - height(n - 1)) / (height(n - 1) - height(n - 2));
  curves.push_back(in_plane(beyond(curves[n - 2], curves[n - 1], times), {end_z, 0}));
  if (sections[0].depth <= loose_top_mm * k + 1e-9)
  {
    const double above = above_plateau_mm * k, up = (sections[0].depth + above) / (sections[1].depth - sections[0].depth);
    curves.insert(curves.begin(), in_plane(beyond(curves[1], curves[0], up), {above, std::tan(anatomy.plateau_angle_rad)}));
  }
  return curves;
}

void require_wall(const Section &inner, const Section &outer)
{
  for (const Eigen::Vector2d &p : inner.curve)
    if (const double wall = depth_mm(outer.curve, outer.plane, p); wall < least_wall_mm)
      throw Error(fmt::format("bone: tibia.inner_surface lies {:.2f} mm inside tibia.surface at x = {:.1f}, y = {:.1f}, z = {:.1f} mm, "
                              "at least {:g} mm is needed",
                              wall, p.x(), p.y(), outer.plane.z(p.x()), least_wall_mm));
}

std::vector<Section> moved_in(const std::vector<Section> &outer, double cortex_mm)
{
  std::vector<Section> inner;
  for (const Section &s : outer)
  {
    inner.push_back({s.plane, s.depth, moved_in(s.curve, s.plane, cortex_mm)});
    if (inner.back().curve.empty())
      throw Error(fmt::format("bone: a cortex of {:g} mm (tibia.cortex_mm) leaves no core at z = {:.1f} mm", cortex_mm, s.plane.height));
  }
  return inner;
}

/// Triangles by the cells of a grid, for the nearest one.
class NearestTriangle
{
public:
  explicit NearestTriangle(const std::vector<std::array<Vector3, 3>> &triangles) : triangles_(triangles)
  {
    for (std::size_t i = 0; i < triangles.size(); ++i)
      cells_[cell((triangles[i][0] + triangles[i][1] + triangles[i][2]) / 3)].push_back(i);
  }
  /// Up to about 4 mm; farther places give 4 mm or more.
  double operator()(const Vector3 &p) const
  {
    double best = 16;
    for (const int reach : {1, 5})
    {
      const Cell c = cell(p);
      for (int x = -reach; x <= reach; ++x)
        for (int y = -reach; y <= reach; ++y)
          for (int z = -reach; z <= reach; ++z)
            if (const auto it = cells_.find({c[0] + x, c[1] + y, c[2] + z}); it != cells_.end())
              for (const std::size_t i : it->second)
              {
                const auto &t = triangles_[i];
                best = std::min(best, (nearest_on_triangle(p, t[0], t[1], t[2]).point - p).squaredNorm());
              }
      if (best < 0.49) // centres of triangles below a millimetre cannot lie outside the cells looked at
        break;
    }
    return std::sqrt(best);
  }

private:
  using Cell = std::array<int, 3>;
  static Cell cell(const Vector3 &p) { return {int(std::floor(p.x())), int(std::floor(p.y())), int(std::floor(p.z()))}; }
  const std::vector<std::array<Vector3, 3>> &triangles_;
  std::map<Cell, std::vector<std::size_t>> cells_;
};
} // namespace

ScanShape scan_shape(const TibiaScan &scan, const Scenario &scenario, const Anatomy &anatomy)
{
  const std::vector<Section> outer = sections_of(scan.outer, anatomy, "tibia.surface", false);
  const double hock = anatomy.hock_centre.z(), cortex = scenario.tibia.cortex_mm;
  ScanShape shape;
  shape.outer = curves_of(outer, anatomy, hock);
  shape.lowest_mm = outer.back().plane.height;
  if (!scan.inner)
  {
    shape.core = curves_of(moved_in(outer, cortex), anatomy, hock + 2 * cortex);
    return shape;
  }
  const std::vector<Section> inner = sections_of(*scan.inner, anatomy, "tibia.inner_surface", true);
  for (const Section &i : inner)
    for (const Section &o : outer)
      if (o.depth == i.depth)
        require_wall(i, o);
  double end = 1e300;
  for (const Vector3 &p : scan.inner->points)
    end = std::min(end, p.z());
  shape.core = curves_of(inner, anatomy, std::max(end, hock + 0.5));
  return shape;
}

ScanDistance scan_distance(const TriangleSurface &scan, const std::vector<std::array<Vector3, 3>> &loft, const ScanShape &shape,
                           const Anatomy &anatomy)
{
  const NearestTriangle nearest(loft);
  const Vector3 normal = plateau_normal(anatomy);
  const double top = -depths[0] * anatomy.tibia_length_mm / reference_length_mm;
  ScanDistance d;
  for (const Vector3 &p : scan.points)
  {
    if (normal.dot(p) > top || p.z() < shape.lowest_mm)
    {
      ++d.left_out;
      continue;
    }
    const double here = nearest(p);
    ++d.judged;
    d.mean_mm += here;
    if (here > d.largest_mm)
      d.largest_mm = here, d.place = p;
  }
  d.mean_mm /= std::max<std::size_t>(d.judged, 1);
  if (d.largest_mm > most_distance_mm)
    throw Error(fmt::format("bone: the sections pass {}{:.2f} mm from tibia.surface at x = {:.1f}, y = {:.1f}, z = {:.1f} mm, at most "
                            "{:g} mm is allowed",
                            d.largest_mm >= 4 ? "more than " : "", d.largest_mm, d.place.x(), d.place.y(), d.place.z(), most_distance_mm));
  return d;
}
} // namespace stifle::mesh
