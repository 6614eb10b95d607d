#include "mesh/scan_section.h"
#include "models/core/error.h"
#include <Eigen/QR>
#include <algorithm>
#include <cstdint>
#include <fmt/format.h>
#include <unordered_map>

namespace stifle::mesh
{
namespace
{
constexpr int n_controls = 14, n_samples = 240; // per half curve
constexpr double grid_mm = 0.5;                 // of the distance that moved_in draws its curve from
using Vector2 = Eigen::Vector2d;

std::uint64_t edge_key(int a, int b) { return std::uint64_t(std::min(a, b)) << 32 | std::uint32_t(std::max(a, b)); }

struct Step
{
  Vector2 place;
  std::uint64_t next;
};

/// Value of the cubic basis functions of a clamped uniform knot vector at t in [0, 1].
Eigen::VectorXd basis(double t)
{
  constexpr int degree = 3, n_spans = n_controls - degree;
  const auto knot = [](int i) { return std::clamp(double(i - degree) / n_spans, 0.0, 1.0); };
  const int span = degree + std::min(int(t * n_spans), n_spans - 1);
  Eigen::VectorXd n = Eigen::VectorXd::Zero(n_controls);
  n(span) = 1;
  for (int p = 1; p <= degree; ++p)
    for (int i = span - p; i <= span; ++i)
    {
      const double left = knot(i + p) - knot(i), right = knot(i + p + 1) - knot(i + 1);
      const double upper = i + 1 < n_controls ? n(i + 1) : 0;
      n(i) = (left > 0 ? (t - knot(i)) / left * n(i) : 0) + (right > 0 ? (knot(i + p + 1) - t) / right * upper : 0);
    }
  return n;
}

/// Points at even distances along an open line.
std::vector<Vector3> resampled(const std::vector<Vector3> &line)
{
  std::vector<double> along = {0};
  for (std::size_t i = 1; i < line.size(); ++i)
    along.push_back(along.back() + (line[i] - line[i - 1]).norm());
  std::vector<Vector3> points;
  std::size_t i = 0;
  for (int k = 0; k <= n_samples; ++k)
  {
    const double wanted = along.back() * k / n_samples;
    while (i + 2 < line.size() && along[i + 1] < wanted)
      ++i;
    const double part = along[i + 1] > along[i] ? std::clamp((wanted - along[i]) / (along[i + 1] - along[i]), 0.0, 1.0) : 0;
    points.push_back(line[i] + part * (line[i + 1] - line[i]));
  }
  return points;
}

/// Control points with the ends held.
std::vector<Vector3> fitted(const std::vector<Vector3> &line)
{
  const std::vector<Vector3> points = resampled(line);
  Eigen::MatrixXd a(n_samples + 1, n_controls - 2), b(n_samples + 1, 3);
  for (int k = 0; k <= n_samples; ++k)
  {
    const Eigen::VectorXd n = basis(double(k) / n_samples);
    a.row(k) = n.segment(1, n_controls - 2).transpose();
    b.row(k) = (points[k] - n(0) * points.front() - n(n_controls - 1) * points.back()).transpose();
  }
  const Eigen::MatrixXd x = a.colPivHouseholderQr().solve(b);
  std::vector<Vector3> controls = {points.front()};
  for (int i = 0; i < n_controls - 2; ++i)
    controls.emplace_back(x.row(i).transpose());
  controls.push_back(points.back());
  return controls;
}
} // namespace

std::vector<PlaneCurve> slice(const TriangleSurface &s, const SectionPlane &plane)
{
  // Seen from outside a triangle is entered where an edge goes below the plane and left where it comes above again.
  std::unordered_map<std::uint64_t, Step> steps;
  const auto above = [&](int p) { return s.points[p].z() - plane.z(s.points[p].x()); };
  for (const auto &t : s.triangles)
  {
    std::uint64_t from = 0, to = 0;
    Vector2 place = Vector2::Zero();
    for (int i = 0; i < 3; ++i)
    {
      const int a = t[i], b = t[(i + 1) % 3];
      const double fa = above(a), fb = above(b);
      if (fa >= 0 && fb < 0)
      {
        from = edge_key(a, b);
        const Vector3 p = a < b ? s.points[a] + fa / (fa - fb) * (s.points[b] - s.points[a])
                                : s.points[b] + fb / (fb - fa) * (s.points[a] - s.points[b]);
        place = p.head<2>();
      }
      else if (fa < 0 && fb >= 0)
        to = edge_key(a, b);
    }
    if (from != 0 || to != 0)
      steps[from] = {place, to};
  }
  std::vector<PlaneCurve> curves;
  while (!steps.empty())
  {
    PlaneCurve curve;
    const std::uint64_t first = steps.begin()->first;
    for (std::uint64_t key = first; curve.empty() || key != first;)
    {
      const auto it = steps.find(key);
      if (it == steps.end())
        throw Error(fmt::format("bone: the surface is open in its section at z = {:.1f} mm", plane.height));
      curve.push_back(it->second.place);
      key = it->second.next;
      steps.erase(it);
    }
    curves.push_back(std::move(curve));
  }
  std::sort(curves.begin(), curves.end(), [](const PlaneCurve &a, const PlaneCurve &b) { return area_mm2(a) > area_mm2(b); });
  return curves;
}

double area_mm2(const PlaneCurve &c)
{
  double twice = 0;
  for (std::size_t i = 0; i < c.size(); ++i)
  {
    const Vector2 &p = c[i], &q = c[(i + 1) % c.size()];
    twice += p.x() * q.y() - q.x() * p.y();
  }
  return 0.5 * std::abs(twice);
}

double depth_mm(const PlaneCurve &c, const SectionPlane &plane, const Vector2 &point)
{
  const double stretch = std::hypot(1, plane.slope);
  double least = 1e300;
  bool inside = false;
  for (std::size_t i = 0; i < c.size(); ++i)
  {
    const Vector2 &a = c[i], &b = c[(i + 1) % c.size()];
    if ((a.y() > point.y()) != (b.y() > point.y()) && point.x() < a.x() + (point.y() - a.y()) / (b.y() - a.y()) * (b.x() - a.x()))
      inside = !inside;
    const Vector2 d((b.x() - a.x()) * stretch, b.y() - a.y()), v((point.x() - a.x()) * stretch, point.y() - a.y());
    const double whole = d.squaredNorm(), part = whole > 0 ? std::clamp(v.dot(d) / whole, 0.0, 1.0) : 0;
    least = std::min(least, (v - part * d).squaredNorm());
  }
  return inside ? std::sqrt(least) : -std::sqrt(least);
}

PlaneCurve moved_in(const PlaneCurve &c, const SectionPlane &plane, double distance_mm)
{
  Eigen::AlignedBox2d box;
  for (const Vector2 &p : c)
    box.extend(p);
  const int nx = int(box.sizes().x() / grid_mm) + 4, ny = int(box.sizes().y() / grid_mm) + 4;
  TriangleSurface depth; // a hill over (x, y): its contour line is the curve
  for (int i = 0; i <= nx; ++i)
    for (int j = 0; j <= ny; ++j)
    {
      const Vector2 p = box.min() + grid_mm * Vector2(i - 1.5, j - 1.5);
      depth.points.emplace_back(p.x(), p.y(), depth_mm(c, plane, p));
    }
  for (int i = 0; i < nx; ++i)
    for (int j = 0; j < ny; ++j)
    {
      const int a = i * (ny + 1) + j, b = a + ny + 1;
      depth.triangles.push_back({a, b, b + 1});
      depth.triangles.push_back({a, b + 1, a + 1});
    }
  const auto curves = slice(depth, {distance_mm, 0});
  return curves.empty() ? PlaneCurve() : curves[0];
}

SectionCurve fit_section(const PlaneCurve &c, const SectionPlane &plane)
{
  struct Crossing
  {
    std::size_t before;
    double x;
  };
  std::optional<Crossing> caudal, cranial;
  for (std::size_t i = 0; i < c.size(); ++i)
  {
    const Vector2 &a = c[i], &b = c[(i + 1) % c.size()];
    if ((a.y() >= 0) == (b.y() >= 0))
      continue;
    const double x = a.x() + a.y() / (a.y() - b.y()) * (b.x() - a.x());
    if (!caudal || x < caudal->x)
      caudal = {i, x};
    if (!cranial || x > cranial->x)
      cranial = {i, x};
  }
  if (!caudal || caudal->before == cranial->before)
    throw Error(fmt::format("bone: the plane y = 0 of the frame misses the surface at z = {:.1f} mm", plane.height));
  const auto half = [&](const Crossing &from, const Crossing &to)
  {
    std::vector<Vector3> line = {Vector3(from.x, 0, plane.z(from.x))};
    for (std::size_t i = (from.before + 1) % c.size(); i != (to.before + 1) % c.size(); i = (i + 1) % c.size())
      line.emplace_back(c[i].x(), c[i].y(), plane.z(c[i].x()));
    line.emplace_back(to.x, 0, plane.z(to.x));
    return line;
  };
  std::vector<Vector3> one = half(*caudal, *cranial), other = half(*cranial, *caudal);
  std::reverse(other.begin(), other.end());
  double mean = 0;
  for (const Vector3 &p : one)
    mean += p.y();
  if (mean < 0)
    std::swap(one, other);
  return {fitted(one), fitted(other)};
}
} // namespace stifle::mesh
