#include "models/margins/yield.h"

#include "models/core/error.h"

#include <cmath>
#include <fmt/format.h>

namespace stifle
{
std::optional<double> yield_margin(double capacity, double demand)
{
  if (!std::isfinite(capacity) || !(capacity > 0))
    throw Error(fmt::format("a margin needs a capacity above 0, not {}", capacity));
  if (!std::isfinite(demand) || demand < 0)
    throw Error(fmt::format("a margin needs a finite demand of at least 0, not {}", demand));
  if (demand == 0)
    return std::nullopt;
  return capacity / demand;
}

std::string verdict(double margin)
{
  if (std::isnan(margin))
    throw Error("a margin that is not a number has no verdict");
  if (margin >= adequate_margin)
    return "adequate";
  return margin >= least_margin ? "marginal" : "overloaded";
}
} // namespace stifle
