#include "scenarios/app/timed_progress.h"
#include "models/core/log.h"
#include "scenarios/app/interrupt.h"
#include <fmt/format.h>

namespace stifle::app
{
Progress timed_progress(const std::string &stage, const std::string &what)
{
  constexpr double first_s = 2, every_s = 5;
  const double start = elapsed_seconds();
  return [stage, what, start, next = start + first_s](std::size_t done, std::size_t total) mutable
  {
    stop_if_interrupted();
    const double now = elapsed_seconds();
    if (now < next || done == total)
      return;
    next = now + every_s;
    const double left = (now - start) / static_cast<double>(done) * static_cast<double>(total - done);
    log(stage, fmt::format("{}/{} {}, about {:.0f} s left", done, total, what, left));
  };
}
} // namespace stifle::app
