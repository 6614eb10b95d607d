#include "models/limb/muscle_cap.h"

namespace stifle
{
double quadriceps_cap_n(const Scenario &scenario)
{
  const double size = std::cbrt(scenario.dog.mass_kg / 30);
  return scenario.limb.muscle_stress_mpa * scenario.limb.quadriceps_area_mm2 * size * size;
}

bool beyond_muscle_cap(const Scenario &scenario, double quadriceps_n) { return quadriceps_n > quadriceps_cap_n(scenario); }

std::string muscle_flag(const Scenario &scenario, double quadriceps_n)
{
  return beyond_muscle_cap(scenario, quadriceps_n) ? "beyond_muscle_cap" : "";
}
} // namespace stifle
