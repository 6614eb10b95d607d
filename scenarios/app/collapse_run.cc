#include "scenarios/app/collapse_run.h"
#include "models/core/error.h"
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
/// Steps of a fifth. Those below first yield cost next to nothing, but bone may break there.
std::vector<double> factors_about(double first_yield)
{
  std::vector<double> factors;
  for (double f = 0.25 * first_yield; f < largest_factor; f *= 1.2)
    factors.push_back(f);
  factors.push_back(largest_factor);
  return factors;
}

std::string end_text(const Collapse &c)
{
  const auto passed = [](double factor) { return factor > 0 ? fmt::format("{:.3g}", factor) : std::string("not reached"); };
  std::string text  = fmt::format("metal uses up its elongation at {}, {:g} % of a segment's cortex past yield at {}",
                                  passed(c.fracture), 100 * solver::bone_share, passed(c.bone_limit));
  if (c.no_equilibrium)
    text += fmt::format(", no equilibrium beyond {:.3g} ({})", c.reached, c.reason);
  else if (!(c.fracture > 0) && !(c.bone_limit > 0))
    text += c.reason.empty() ? fmt::format("; at least, not loaded further than {:.3g}", c.reached)
                             : fmt::format("; at least, ended at {:.3g}: {}", c.reached, c.reason);
  return text;
}

double collapse_factor(const Collapse &c)
{
  double least = c.reached;
  for (const double factor : {c.fracture, c.bone_limit})
    if (factor > 0)
      least = std::min(least, factor);
  return least;
}
} // namespace

Collapse run_collapse(const CollapseLoad &load, const std::function<void()> &between_steps)
{
  Collapse               c;
  solver::PlasticOptions options;
  options.factors       = factors_about(load.first_yield > 0 ? std::min(load.first_yield, largest_factor) : 1);
  options.tolerance     = 1e-7;
  options.smallest_step = 0.05;
  options.most_iterations = load.most_iterations;
  bool         is_broken = false;
  const auto   watch     = [&](const solver::CollapseStep &step)
  {
    c.reached = std::max(c.reached, step.factor);
    is_broken = is_broken || step.broken();
    between_steps();
  };
  options.enough = [&] { return is_broken; };
  c.first_yield  = load.first_yield;
  try
  {
    const solver::CollapseResult r = solver::push_to_collapse(load.setup, load.forces, options, watch);
    if (r.first_yield_factor > 0)
      c.first_yield = r.first_yield_factor;
    c.fracture       = r.fracture_factor;
    c.bone_limit     = r.bone_limit_factor;
    c.no_equilibrium = r.solve.collapsed;
    c.reason         = r.solve.reason;
  }
  catch (const Error &error)
  {
    c.reason = error.what();
  }
  return c;
}

std::vector<Margin> collapse_margins(const Collapse &c)
{
  std::vector<Margin> all;
  if (c.first_yield > 0)
    all.push_back({"construct", "first_yield", 1, c.first_yield, "load factor", "derived",
                   "the first quadrature point of the metal at its yield strength, excluded lines included", 0});
  if (c.reached > 0)
    all.push_back({"construct", "collapse", 1, collapse_factor(c), "load factor", "derived", end_text(c), 0});
  return all;
}
} // namespace stifle::app
