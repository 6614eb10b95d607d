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

namespace
{
/// Where the logistic of log E runs: from the low end of the first bracket to the high end of the last.
struct LogRange
{
  double low = std::log(callus_brackets().front().low_mpa), high = std::log(callus_brackets().back().high_mpa);
  double logit(double log_modulus) const
  {
    const double share = (log_modulus - low) / (high - low);
    return std::log(share / (1 - share));
  }
  double logit_of_mean(const CallusBracket &b) const { return logit(0.5 * std::log(b.low_mpa * b.high_mpa)); }
};
} // namespace

double callus_modulus_mpa(double week, double shift)
{
  if (!std::isfinite(week) || week < 0)
    throw Error(fmt::format("callus: the week must be finite and at least 0, not {}", week));
  if (!std::isfinite(shift))
    throw Error(fmt::format("callus: the shift must be finite, not {}", shift));
  if (week == 0)
    return 0;
  const LogRange range;
  // The logistic is a straight line in logit(log E): two points fix it.
  const CallusBracket &early = callus_brackets()[1], &late = callus_brackets()[3];
  const double y0 = range.logit_of_mean(early), y1 = range.logit_of_mean(late);
  const double y = y0 + (y1 - y0) * (week - early.first_week) / (late.first_week - early.first_week) + shift;
  return std::exp(range.low + (range.high - range.low) / (1 + std::exp(-y)));
}

std::pair<double, double> callus_shift_bounds()
{
  const LogRange range;
  const CallusBracket &widest = callus_brackets()[1];
  const double middle = range.logit_of_mean(widest);
  return {range.logit(std::log(widest.low_mpa)) - middle, range.logit(std::log(widest.high_mpa)) - middle};
}
} // namespace stifle
