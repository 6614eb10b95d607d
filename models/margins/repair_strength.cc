#include "models/margins/repair_strength.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
double force(double value_n, const std::string &name)
{
  if (!std::isfinite(value_n) || value_n < 0)
    throw Error(fmt::format("strength of a repair: the {} must be a finite force of at least 0 N, not {}", name, value_n));
  return value_n;
}
} // namespace

std::vector<RepairStrength> repair_strength(RepairKind kind, const RepairLoads &loads, const std::string &material)
{
  if (kind == RepairKind::suture)
  {
    const SutureMaterial &line = find_suture_material(material);
    const double demand = force(loads.suture_n, "tension of the suture");
    return {{"suture", "yield", demand, line.yield_n, line.yield_sd, "N", line.label, line.source},
            {"suture", "peak", demand, line.peak_n, line.peak_sd, "N", line.label, line.source}};
  }
  if (kind == RepairKind::advancement)
  {
    const std::string source =
        "spacer pull-out, sheep: alternatives.md section 2b, row Failure (10.3390/ani12162013, Acta Vet Hung 2022)";
    const double demand = force(loads.patellar_tendon_n, "force of the patellar tendon");
    return {{"spacer", "pull_out_well_placed", demand, 878, 61, "N", "abstract", source},
            {"spacer", "pull_out_badly_placed", demand, 330, 55, "N", "abstract", source}};
  }
  return {};
}
} // namespace stifle
