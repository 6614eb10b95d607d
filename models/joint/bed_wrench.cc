#include "models/joint/bed_wrench.h"
#include <algorithm>

namespace stifle
{
Matrix6 wrench_change(const RigidPose &pose)
{
  Matrix6 change;
  change << pose.turn, Matrix3::Zero(), cross_matrix(pose.shift_mm) * pose.turn, pose.turn;
  return change;
}

BedWrench &BedWrench::operator+=(const BedWrench &other)
{
  const double sum = load_n + other.load_n;
  if (sum > 0)
    centre_mm = (load_n * centre_mm + other.load_n * other.centre_mm) / sum;
  on_tibia += other.on_tibia;
  slope += other.slope;
  load_n = sum;
  area_mm2 += other.area_mm2;
  area_above_mm2 += other.area_above_mm2;
  peak_mpa = std::max(peak_mpa, other.peak_mpa);
  return *this;
}

BedWrench carried(BedWrench result, const RigidPose &segment)
{
  const Matrix6 change = wrench_change(segment);
  result.on_tibia = change * result.on_tibia;
  result.slope = change * result.slope * change.transpose();
  if (result.load_n > 0)
    result.centre_mm = segment.turn * result.centre_mm + segment.shift_mm;
  return result;
}
} // namespace stifle
