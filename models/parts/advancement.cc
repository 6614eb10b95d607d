#include "models/parts/advancement.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
/// Attachment of the tendon on the patella: on the circle about the trochlea, one tendon length from the insertion, cranial side.
Vector3 reduced_patella(const Anatomy &a, double stifle_angle_rad)
{
  const Vector3 trochlea = a.condyle_radius_mm * plateau_normal(a) + femur_rotation(stifle_angle_rad) * a.trochlea_centre;
  const Vector3 line(trochlea.x() - a.tendon_insertion.x(), 0, trochlea.z() - a.tendon_insertion.z());
  const double distance = line.norm(), tendon = a.tendon_length_mm, circle = a.trochlea_radius_mm;
  const double along = (distance * distance + tendon * tendon - circle * circle) / (2 * distance);
  const double across_square = tendon * tendon - along * along;
  if (!(across_square > 0))
    throw Error(
        fmt::format("advancement: a patellar tendon of {:.1f} mm cannot join the insertion to the trochlea, {:.1f} mm away, "
                    "at a stifle angle of {:g} deg",
                    tendon, distance, degrees(stifle_angle_rad)));
  const Vector3 unit = line / distance, cranial(unit.z(), 0, -unit.x());
  return a.tendon_insertion + along * unit + std::sqrt(across_square) * cranial;
}
} // namespace

const std::vector<double> &spacer_sizes_mm()
{
  static const std::vector<double> sizes = {3, 4.5, 6, 7.5, 9, 10.5, 12, 13.5, 15};
  return sizes;
}

double advancement_of_spacer_mm(double spacer_mm) { return (1 - spacer_loss) * spacer_mm; }

std::optional<double> spacer_for_mm(double advancement_mm)
{
  for (const double size : spacer_sizes_mm())
    if (advancement_of_spacer_mm(size) >= advancement_mm - 1e-9)
      return size;
  return std::nullopt;
}

double advancement_mm(double tendon_length_mm, double tendon_angle_rad)
{
  return tendon_length_mm * std::sin(tendon_angle_rad - pi / 2);
}

double patella_shift_mm(double tendon_length_mm, double tendon_angle_rad)
{
  return tendon_length_mm * (1 - std::cos(tendon_angle_rad - pi / 2));
}

double reduced_tendon_angle_rad(const Anatomy &a, double stifle_angle_rad)
{
  const Vector3 tendon = reduced_patella(a, stifle_angle_rad) - a.tendon_insertion;
  return pi - std::atan2(tendon.dot(plateau_normal(a)), tendon.dot(plateau_chord(a)));
}

Advancement plan_advancement(const Scenario &scenario, const Anatomy &anatomy)
{
  const AdvancementParameters &given = scenario.advancement;
  Advancement plan;
  plan.tendon_angle_before_rad = reduced_tendon_angle_rad(anatomy, radians(advancement_stifle_deg));
  plan.proximal_shift_mm = given.proximal_shift_mm;
  if (given.advancement_mm)
    plan.advancement_mm = *given.advancement_mm;
  else if (given.spacer_mm)
    plan.advancement_mm = advancement_of_spacer_mm(*given.spacer_mm);
  else
    plan.advancement_mm = advancement_mm(anatomy.tendon_length_mm, plan.tendon_angle_before_rad);
  if (!(plan.advancement_mm > 0))
    throw Error(fmt::format("advancement: the tendon angle at stifle {:g} is {:.1f} deg already; there is nothing to advance",
                            advancement_stifle_deg, degrees(plan.tendon_angle_before_rad)));
  plan.spacer_mm = given.spacer_mm ? given.spacer_mm : spacer_for_mm(plan.advancement_mm);
  plan.tendon_angle_after_rad = reduced_tendon_angle_rad(advance(anatomy, plan).anatomy, radians(advancement_stifle_deg));
  return plan;
}

OperatedAnatomy advance(const Anatomy &anatomy, const Advancement &plan)
{
  OperatedAnatomy result = operate(anatomy, no_levelling(anatomy));
  result.anatomy.tendon_insertion +=
      plan.advancement_mm * plateau_chord(anatomy) + plan.proximal_shift_mm * plateau_normal(anatomy);
  return result;
}
} // namespace stifle
