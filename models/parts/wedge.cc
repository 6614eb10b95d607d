#include "models/parts/wedge.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double reference_length_mm = 200, reference_hinge_mm = 75, reference_axis_mm = 10;

/// Landmarks that must not lie in the removed bone.
std::vector<std::pair<std::string, Vector3>> landmarks(const Anatomy &a)
{
  const Vector3 cranial = a.plateau_half_length_mm * plateau_chord(a);
  std::vector<std::pair<std::string, Vector3>> list = {{"the tendon insertion", a.tendon_insertion},
                                                       {"the cranial cruciate", a.cranial_cruciate_tibia},
                                                       {"the caudal cruciate", a.caudal_cruciate_tibia},
                                                       {"the collateral ligaments", a.secondary_tibia},
                                                       {"the hamstrings", a.hamstrings_tibia},
                                                       {"the flexors of the hock", a.calcanean_origin},
                                                       {"the cranial end of the joint surface", cranial},
                                                       {"the caudal end of the joint surface", -cranial}};
  for (const Bundle &bundle : a.joint.bundles)
    if (!bundle.on_fibula)
      list.emplace_back("the bundle " + bundle.name, bundle.tibia);
  return list;
}

void require_bone(const Anatomy &a, const Levelling &wedge)
{
  for (const auto &[name, point] : landmarks(a))
  {
    const double above = point.z() - wedge.centre.z();
    if (above >= 0 && above <= wedge_height_mm(wedge, point.x()))
      throw Error(fmt::format("wedge: a wedge of {:.1f} deg hinged {:g} mm below the intercondylar point cuts out {}",
                              degrees(wedge.rotation_rad), -wedge.centre.z(), name));
  }
  if (!wedge.proximal(a.tendon_insertion))
    throw Error(fmt::format("wedge: the hinge, {:g} mm below the intercondylar point, lies proximal of the tendon insertion, "
                            "{:g} mm below it",
                            -wedge.centre.z(), -a.tendon_insertion.z()));
}
} // namespace

double wedge_achieved_rad(const WedgeMeasures &m, double w)
{
  const double D = m.hinge_distance_mm, a = m.axis_distance_mm;
  const double along = D * std::sin(w) + a * (std::cos(w) - 1);
  const double left = m.tibia_length_mm - D * (1 - std::cos(w)) - a * std::sin(w);
  return m.plateau_angle_rad - w + std::atan2(along, left);
}

double wedge_for_target_rad(const WedgeMeasures &m, double target_rad)
{
  double low = 0, high = radians(widest_wedge_deg);
  if (target_rad > m.plateau_angle_rad || wedge_achieved_rad(m, high) > target_rad)
    throw Error(fmt::format("wedge: no wedge up to {:g} deg takes a plateau angle of {:g} deg to {:g} deg with the hinge {:g} mm "
                            "below the intercondylar point",
                            widest_wedge_deg, degrees(m.plateau_angle_rad), degrees(target_rad), m.hinge_distance_mm));
  for (int i = 0; i < 100; ++i) // bisection to the last bit
  {
    const double middle = 0.5 * (low + high);
    (wedge_achieved_rad(m, middle) > target_rad ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

WedgeMeasures wedge_measures(const Scenario &scenario, const Anatomy &anatomy)
{
  const double scale = anatomy.tibia_length_mm / reference_length_mm;
  return {anatomy.plateau_angle_rad, anatomy.tibia_length_mm,
          scenario.wedge.hinge_distance_mm.value_or(scale * reference_hinge_mm),
          scenario.wedge.axis_distance_mm.value_or(scale * reference_axis_mm)};
}

Levelling wedge_about(const Anatomy &anatomy, const Vector3 &hinge, double wedge_rad)
{
  Levelling wedge;
  wedge.shape = CutShape::wedge;
  wedge.cut = true;
  wedge.centre = hinge;
  wedge.rotation_rad = wedge_rad;
  wedge.achieved_angle_rad = wedge.target_angle_rad = achieved_plateau_angle_rad(anatomy, wedge);
  return wedge;
}

Levelling plan_wedge(const Scenario &scenario, const Anatomy &anatomy, double target_rad)
{
  const WedgeMeasures measures = wedge_measures(scenario, anatomy);
  const auto &given = scenario.wedge.wedge_deg;
  Levelling wedge = wedge_about(anatomy, Vector3(-measures.axis_distance_mm, 0, -measures.hinge_distance_mm),
                                given ? radians(*given) : wedge_for_target_rad(measures, target_rad));
  if (!given)
    wedge.target_angle_rad = target_rad;
  require_bone(anatomy, wedge);
  return wedge;
}

Levelling plan_wedge(const Scenario &scenario, const Anatomy &anatomy)
{
  return plan_wedge(scenario, anatomy, radians(scenario.wedge.target_deg));
}

double wedge_height_mm(const Levelling &wedge, double x_mm)
{
  return std::max(0.0, x_mm - wedge.centre.x()) * std::tan(wedge.rotation_rad);
}
} // namespace stifle
