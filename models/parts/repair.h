// models/parts/repair.h - every word of repair.kind as one call: scenario and bone in, operated bone out
//   frame   unoperated tibia
//   errors  Error when the repair cannot be done on this bone (levelling.h, wedge.h, advancement.h)
#pragma once
#include "models/parts/advancement.h"
#include "models/parts/wedge.h"

namespace stifle
{
enum class RepairKind
{
  none,
  levelling,
  wedge,
  suture,
  advancement
};
std::string to_string(RepairKind kind);
RepairKind repair_kind(const std::string &name); ///< Error for an unknown word
bool has_repair(const Scenario &scenario, RepairKind kind);

/// The bone after the repair of the scenario. `target_rad` is the plateau angle aimed at by levelling (required) and wedge
/// (absent: wedge.target_deg); the other kinds take none.
OperatedAnatomy repaired(const Scenario &scenario, const Anatomy &anatomy, RepairKind kind,
                         std::optional<double> target_rad = std::nullopt);
} // namespace stifle
