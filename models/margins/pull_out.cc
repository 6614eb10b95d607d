#include "models/margins/pull_out.h"

#include "models/core/error.h"

#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double pi = 3.14159265358979323846;
constexpr double yield_strain = 0.007;                    // cortical bone, construct.md section 6, memory
constexpr double cortex_shear = 67, cortex_tension = 133; // MPa, human, construct.md section 6, memory

double above_zero(double value, const char *what)
{
  if (!std::isfinite(value) || !(value > 0))
    throw Error(fmt::format("pull-out: the {} must be finite and above 0, not {}", what, value));
  return value;
}
} // namespace

double thread_shape_factor(const ScrewSize &screw)
{
  const double depth = (above_zero(screw.major_mm, "major diameter") - above_zero(screw.core_mm, "core diameter")) / 2;
  return 0.5 + 0.57735 * above_zero(depth, "depth of the thread") / above_zero(screw.pitch_mm, "pitch");
}

double pull_out_n(const ScrewSize &screw, double shear_mpa, double engaged_mm)
{
  if (!std::isfinite(engaged_mm) || engaged_mm < 0)
    throw Error(fmt::format("pull-out: the engaged length must be finite and at least 0, not {}", engaged_mm));
  return above_zero(shear_mpa, "shear strength of the host") * pi * engaged_mm * screw.major_mm * thread_shape_factor(screw);
}

ThreadHost cortical_host()
{
  return {cortex_shear, "memory", "shear strength of human cortical bone, construct.md section 6; no canine value found"};
}

ThreadHost cancellous_host(double modulus_mpa)
{
  return {above_zero(modulus_mpa, "modulus of cancellous bone") * yield_strain * cortex_shear / cortex_tension, "assumption",
          "modulus x yield strain 0.7 % of cortical bone x its shear over tension strength 67/133 (construct.md section 6, "
          "memory); no shear strength of canine cancellous bone found"};
}

double cancellous_density(double modulus_mpa)
{
  return std::pow(above_zero(modulus_mpa, "modulus of cancellous bone") / 15520, 1 / 1.93);
}

double thread_hold_n(const ScrewSize &screw, const std::vector<ThreadBed> &beds)
{
  double hold = 0;
  for (const ThreadBed &bed : beds)
    hold += pull_out_n(screw, bed.host.shear_mpa, bed.engaged_mm);
  return hold;
}
} // namespace stifle
