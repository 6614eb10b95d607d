#include "viz/margin_words.h"
#include <cmath>
#include <fmt/format.h>

namespace stifle::viz
{
std::string margin_words(double margin)
{
  if (margin > 1000)
    return "over 1000";
  if (margin < 0.01)
    return "below 0.01";
  return margin >= 10 ? fmt::format("{:.0f}", margin) : fmt::format("{:.2f}", std::floor(100 * margin + 1e-9) / 100);
}
} // namespace stifle::viz
