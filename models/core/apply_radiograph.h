// models/core/apply_radiograph.h - values of a film put in the place of the scenario's
//   sets    tibia.plateau_angle_deg, length_mm, tuberosity_cranial_mm, tuberosity_proximal_mm; joint.tendon_length_mm,
//           tendon_angle_deg, tendon_angle_stifle_deg; with a saw on the film also tibia.tuberosity_width_mm,
//           levelling.saw_radius_mm, centre_height_mm, and centre_offset_mm to null: width and insertion place the arc where the
//           film shows it
//   errors  a problem for every such key that the scenario writes too (unless the same to 1e-9, as in an echo), naming
//           both lines; for every value out of the range of its key; and for every problem of the film's own file
#pragma once
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include <set>

namespace stifle
{
/// `failed`: keys that already have a problem of their own.
void apply_radiograph(YamlReader &reader, Scenario &scenario, const std::set<std::string> &failed);
} // namespace stifle
