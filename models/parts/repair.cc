#include "models/parts/repair.h"
#include "models/core/error.h"
#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr std::array<RepairKind, 5> all_kinds = {RepairKind::none, RepairKind::levelling, RepairKind::wedge, RepairKind::suture,
                                                 RepairKind::advancement};
}

std::string to_string(RepairKind kind)
{
  switch (kind)
  {
  case RepairKind::levelling:
    return "levelling";
  case RepairKind::wedge:
    return "wedge";
  case RepairKind::suture:
    return "suture";
  case RepairKind::advancement:
    return "advancement";
  default:
    return "none";
  }
}

RepairKind repair_kind(const std::string &name)
{
  for (const RepairKind kind : all_kinds)
    if (to_string(kind) == name)
      return kind;
  throw Error(fmt::format("unknown repair '{}'; known: none, levelling, wedge, suture, advancement", name));
}

bool has_repair(const Scenario &scenario, RepairKind kind)
{
  return scenario.repair.has(to_string(kind));
}

OperatedAnatomy repaired(const Scenario &scenario, const Anatomy &anatomy, RepairKind kind, std::optional<double> target_rad)
{
  OperatedAnatomy bone = operate(anatomy, no_levelling(anatomy));
  switch (kind)
  {
  case RepairKind::levelling:
    if (!target_rad)
      throw Error("levelling needs a target plateau angle");
    return operate(anatomy, plan_levelling(scenario, anatomy, *target_rad));
  case RepairKind::wedge:
    return operate(anatomy, target_rad ? plan_wedge(scenario, anatomy, *target_rad) : plan_wedge(scenario, anatomy));
  case RepairKind::suture:
    bone.suture = plan_suture(scenario, anatomy);
    return bone;
  case RepairKind::advancement:
    return advance(anatomy, plan_advancement(scenario, anatomy));
  default:
    return bone;
  }
}
} // namespace stifle
