#include "models/joint/bed_wrench.h"
#include <algorithm>

namespace stifle
{
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
} // namespace stifle
