#include "scenarios/checks/solver_cases.h"

namespace stifle::checks
{
std::vector<CheckCase> solver_checks()
{
  return {{"C1", four_point_bending}, {"C2", patch_test},        {"C4", thick_plate},     {"C5", thermal_stress},
          {"C6", cook_membrane},      {"C7", slender_beams},     {"C8", pressure_vessels}, {"C10", roller_on_block},
          {"C11", hole_in_bending},   {"C12", screw_as_dowel},    {"C13", composite_beam},
          {"C18", plate_alloys},      {"C26", preload_opening}};
}
} // namespace stifle::checks
