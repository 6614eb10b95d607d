#include "models/parts/rigid_fit.h"
#include "models/core/error.h"
#include <Eigen/SVD>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double least_width = 0.05; // of points against their length: below it the turn about their line is open (assumption)

Vector3 mean(const std::vector<Vector3> &points)
{
  Vector3 sum = Vector3::Zero();
  for (const Vector3 &p : points)
    sum += p / double(points.size());
  return sum;
}

void require_area(const std::vector<Vector3> &points, const Vector3 &middle, const char *which)
{
  Matrix3 spread = Matrix3::Zero();
  for (const Vector3 &p : points)
    spread += (p - middle) * (p - middle).transpose();
  const Vector3 sizes = Eigen::JacobiSVD<Matrix3>(spread).singularValues().cwiseSqrt();
  if (!(sizes(1) > least_width * sizes(0)))
    throw Error(fmt::format("landmarks: the points {} lie on one line, which leaves the turn about it open", which));
}
} // namespace

RigidFit fit_rigidly(const std::vector<Vector3> &from, const std::vector<Vector3> &to)
{
  if (from.size() != to.size() || from.size() < 3)
    throw Error(fmt::format("landmarks: {} and {} points; three or more of each are needed", from.size(), to.size()));
  const Vector3 a = mean(from), b = mean(to);
  require_area(from, a, "of the file");
  require_area(to, b, "on the bone");
  Matrix3 cross = Matrix3::Zero();
  for (std::size_t i = 0; i < from.size(); ++i)
    cross += (to[i] - b) * (from[i] - a).transpose();
  const Eigen::JacobiSVD<Matrix3> svd(cross, Eigen::ComputeFullU | Eigen::ComputeFullV);
  const double hand = (svd.matrixU() * svd.matrixV().transpose()).determinant() < 0 ? -1 : 1;
  RigidFit fit;
  fit.turn = svd.matrixU() * Vector3(1, 1, hand).asDiagonal() * svd.matrixV().transpose();
  fit.shift = b - fit.turn * a;
  for (std::size_t i = 0; i < from.size(); ++i)
    if (const double d = (fit(from[i]) - to[i]).norm(); d > fit.worst_mm)
      fit.worst_mm = d, fit.worst_point = i;
  return fit;
}

std::vector<Vector3> points_of(const std::vector<double> &numbers)
{
  std::vector<Vector3> points;
  for (std::size_t i = 0; i + 2 < numbers.size(); i += 3)
    points.emplace_back(numbers[i], numbers[i + 1], numbers[i + 2]);
  return points;
}
} // namespace stifle
