#include "scenarios/checks/bone_rule.h"
#include "models/core/error.h"
#include "models/parts/part_name.h"
#include <algorithm>

namespace stifle::checks
{
std::vector<YieldPoint> yield_points(const solver::Elasticity &e, const solver::Vector &u, const ChosenBone &chosen)
{
  std::vector<YieldPoint> points;
  double                  volume = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    const std::string &part   = e.mesh().parts[e.mesh().part[c]];
    Vector3            centre = Vector3::Zero();
    for (const unsigned v : e.mesh().tetrahedra[c])
      centre += e.mesh().points[v] / 4;
    if (!is_cortex(part) || !chosen(part, centre))
      continue;
    for (const Eigen::Vector4d &q : solver::plastic_points())
    {
      points.push_back({1 / solver::bone_yield_use(e, u, c, q), 0.25 * e.volume(c)});
      volume += 0.25 * e.volume(c);
    }
  }
  if (points.empty())
    throw Error("check: no cortex in the region of the rule");
  std::sort(points.begin(), points.end(), [](const YieldPoint &a, const YieldPoint &b) {
    return std::pair(a.factor, a.share) < std::pair(b.factor, b.share);
  });
  for (YieldPoint &point : points)
    point.share /= volume;
  return points;
}

double bone_share_factor(const std::vector<YieldPoint> &points)
{
  double past = 0;
  for (const YieldPoint &point : points)
    if ((past += point.share) >= solver::bone_share)
      return point.factor;
  return 0;
}
} // namespace stifle::checks
