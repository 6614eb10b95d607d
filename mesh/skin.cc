#include "mesh/skin.h"
#include <algorithm>
#include <gmsh.h>

namespace stifle::mesh
{
namespace
{
constexpr double bin_mm = 1.0;

/// Largest and smallest of a coordinate over a triangle.
std::pair<double, double> range(const std::array<Vector3, 3> &t, int axis)
{
  return {std::min({t[0][axis], t[1][axis], t[2][axis]}), std::max({t[0][axis], t[1][axis], t[2][axis]})};
}
} // namespace

Skin::Skin(std::vector<std::array<Vector3, 3>> triangles) : triangles_(std::move(triangles))
{
  double high_x = -1e300, high_z = -1e300;
  low_x_ = low_z_ = 1e300;
  for (const auto &t : triangles_)
  {
    low_x_ = std::min(low_x_, range(t, 0).first), high_x = std::max(high_x, range(t, 0).second);
    low_z_ = std::min(low_z_, range(t, 2).first), high_z = std::max(high_z, range(t, 2).second);
  }
  n_x_ = std::size_t((high_x - low_x_) / bin_mm) + 1;
  n_z_ = std::size_t((high_z - low_z_) / bin_mm) + 1;
  bins_.resize(n_x_ * n_z_);
  for (std::size_t i = 0; i < triangles_.size(); ++i)
  {
    const auto x = range(triangles_[i], 0), z = range(triangles_[i], 2);
    for (std::size_t a = (x.first - low_x_) / bin_mm; a <= std::size_t((x.second - low_x_) / bin_mm); ++a)
      for (std::size_t b = (z.first - low_z_) / bin_mm; b <= std::size_t((z.second - low_z_) / bin_mm); ++b)
        bins_[a * n_z_ + b].push_back(i);
  }
}

std::optional<double> Skin::height(double x, double z, int side) const
{
  const double a = (x - low_x_) / bin_mm, b = (z - low_z_) / bin_mm;
  if (a < 0 || b < 0 || a >= n_x_ || b >= n_z_)
    return {};
  std::optional<double> best;
  for (const std::uint32_t i : bins_[std::size_t(a) * n_z_ + std::size_t(b)])
  {
    const auto &t = triangles_[i];
    const double d = (t[1].x() - t[0].x()) * (t[2].z() - t[0].z()) - (t[2].x() - t[0].x()) * (t[1].z() - t[0].z());
    if (std::abs(d) < 1e-14)
      continue;
    const double u = ((x - t[0].x()) * (t[2].z() - t[0].z()) - (t[2].x() - t[0].x()) * (z - t[0].z())) / d;
    const double v = ((t[1].x() - t[0].x()) * (z - t[0].z()) - (x - t[0].x()) * (t[1].z() - t[0].z())) / d;
    if (u < -1e-9 || v < -1e-9 || u + v > 1 + 1e-9)
      continue;
    const double y = t[0].y() + u * (t[1].y() - t[0].y()) + v * (t[2].y() - t[0].y());
    if (!best || side * y > side * *best)
      best = y;
  }
  return best;
}

std::optional<double> Skin::levelled_height(double x, double z, int side, const Anatomy &anatomy,
                                            const Levelling &levelling) const
{
  Vector3 place(x, 0, z);
  if (levelling.cut && levelling.proximal(place)) // the cylinder turns in itself
    place = levelling.centre + levelling.turned(Vector3::UnitX()).dot(place - levelling.centre) * Vector3::UnitX() +
            levelling.turned(Vector3::UnitZ()).dot(place - levelling.centre) * Vector3::UnitZ();
  const Vector3 normal(-std::sin(anatomy.plateau_angle_rad), 0, std::cos(anatomy.plateau_angle_rad));
  if (normal.dot(place) > 0)
    return {};
  return height(place.x(), place.z(), side);
}

Skin sample_skin(int lofted_volume)
{
  constexpr int n_around = 160, n_along = 480;
  gmsh::vectorpair faces;
  gmsh::model::occ::synchronize();
  gmsh::model::getBoundary({{3, lofted_volume}}, faces, false, false, false);
  std::vector<std::array<Vector3, 3>> triangles;
  for (const auto &[dim, tag] : faces)
  {
    std::string type;
    gmsh::model::getType(dim, tag, type);
    if (type == "Plane")
      continue; // the caps
    std::vector<double> low, high, uv, xyz;
    gmsh::model::getParametrizationBounds(dim, tag, low, high);
    for (int i = 0; i <= n_around; ++i)
      for (int j = 0; j <= n_along; ++j)
        uv.insert(uv.end(), {low[0] + (high[0] - low[0]) * i / n_around, low[1] + (high[1] - low[1]) * j / n_along});
    gmsh::model::getValue(dim, tag, uv, xyz);
    auto at = [&](int i, int j) { return Vector3(&xyz[3 * (i * (n_along + 1) + j)]); };
    for (int i = 0; i < n_around; ++i)
      for (int j = 0; j < n_along; ++j)
      {
        triangles.push_back({at(i, j), at(i + 1, j), at(i + 1, j + 1)});
        triangles.push_back({at(i, j), at(i + 1, j + 1), at(i, j + 1)});
      }
  }
  return Skin(std::move(triangles));
}
} // namespace stifle::mesh
