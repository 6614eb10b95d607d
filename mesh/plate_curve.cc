#include "mesh/implant_fit.h"
#include <algorithm>

namespace stifle::mesh
{
namespace
{
/// Value and slope at z; straight on beyond the ends.
std::pair<double, double> spline(const std::vector<PlateFit::Station> &s, double z)
{
  const double h = s[1].z - s[0].z;
  const std::size_t i = std::clamp<double>(std::floor((z - s[0].z) / h), 0, s.size() - 2);
  const double b = std::clamp((z - s[i].z) / h, 0.0, 1.0), a = 1 - b;
  const double y = a * s[i].inner_y + b * s[i + 1].inner_y +
                   h * h / 6 * ((a * a * a - a) * s[i].curvature + (b * b * b - b) * s[i + 1].curvature);
  const double slope =
      (s[i + 1].inner_y - s[i].inner_y) / h - h / 6 * ((3 * a * a - 1) * s[i].curvature - (3 * b * b - 1) * s[i + 1].curvature);
  return {y + slope * (z - (s[i].z + b * h)), slope};
}
} // namespace

void PlateFit::settle()
{
  const Eigen::Index n = stations.size();
  const double h = stations[1].z - stations[0].z;
  Eigen::MatrixXd a = Eigen::MatrixXd::Identity(n, n);
  Eigen::VectorXd b = Eigen::VectorXd::Zero(n);
  for (Eigen::Index i = 1; i + 1 < n; ++i)
  {
    a(i, i - 1) = a(i, i + 1) = h / 6, a(i, i) = 4 * h / 6;
    b(i) = (stations[i + 1].inner_y - 2 * stations[i].inner_y + stations[i - 1].inner_y) / h;
  }
  const Eigen::VectorXd m = a.partialPivLu().solve(b);
  for (Eigen::Index i = 0; i < n; ++i)
    stations[i].curvature = m(i);
}

double PlateFit::inner(double z) const { return spline(stations, z).first; }
double PlateFit::slope(double z) const { return spline(stations, z).second; }
} // namespace stifle::mesh
