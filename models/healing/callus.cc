#include "models/healing/callus.h"

#include "models/core/error.h"

#include <cmath>
#include <fmt/format.h>

namespace stifle
{
const std::vector<CallusBracket> &callus_brackets()
{
  static const std::vector<CallusBracket> brackets = {{0, 2, 0.2, 2}, {4, 4, 10, 100}, {6, 6, 500, 1000}, {8, 8, 2000, 6000}};
  return brackets;
}

double callus_modulus_mpa(double week)
{
  if (!std::isfinite(week) || week < 0)
    throw Error(fmt::format("callus: the week must be finite and at least 0, not {}", week));
  if (week == 0)
    return 0;
  const auto &brackets = callus_brackets();
  const double low = std::log(brackets.front().low_mpa), high = std::log(brackets.back().high_mpa);
  // The logistic is a straight line in logit(log E): two points fix it.
  const auto logit_of_mean = [&](const CallusBracket &b)
  {
    const double share = (0.5 * std::log(b.low_mpa * b.high_mpa) - low) / (high - low);
    return std::log(share / (1 - share));
  };
  const CallusBracket &early = brackets[1], &late = brackets[3];
  const double y0 = logit_of_mean(early), y1 = logit_of_mean(late);
  const double y = y0 + (y1 - y0) * (week - early.first_week) / (late.first_week - early.first_week);
  return std::exp(low + (high - low) / (1 + std::exp(-y)));
}
} // namespace stifle
