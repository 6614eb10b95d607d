// C14: fatigue kit against the worked examples of construct.md 1.14 to 1.16
#include "models/margins/fatigue.h"
#include "scenarios/checks/check.h"

#include <algorithm>
#include <cmath>

namespace stifle::checks
{
namespace
{
const double ultimate = 860, yield = 690, limit = 350; // construct.md 1.14: Su, Sy, Se, MPa

/// To 1e-6 of the expected value, or to half a unit of the last digit printed where that is coarser.
CheckRow exact_row(const std::string &id, const std::string &quantity, double value, double expected, const std::string &unit,
                   const std::string &source, double print = 0)
{
  return check_row(id, quantity, value, expected, std::max(1e-6 * std::abs(expected), print), unit, 'V', true, source);
}

std::vector<CheckRow> fatigue_kit()
{
  const Cycle cycle{200, 200};
  const Basquin law = basquin_through({0.9 * ultimate, 1e3}, {limit, 1e6});
  const double amplitude = goodman_amplitude(cycle, ultimate), peterson = peterson_sensitivity(ultimate, 2),
               neuber = neuber_sensitivity(ultimate, 2);
  const std::string mean = "construct.md 1.14, closed form", life = "construct.md 1.15, closed form",
                    notch = "construct.md 1.16, closed form; its constants are from memory";
  return {exact_row("C14", "Goodman safety factor", goodman_factor(cycle, limit, ultimate), 1.243802, "1", mean),
          exact_row("C14", "Soderberg safety factor", soderberg_factor(cycle, limit, yield), 1.161058, "1", mean),
          exact_row("C14", "Gerber safety factor", gerber_factor(cycle, limit, ultimate), 1.528793, "1", mean),
          exact_row("C14", "Goodman equivalent amplitude", amplitude, 260.6061, "MPa", mean),
          exact_row("C14", "Gerber equivalent amplitude", gerber_amplitude(cycle, ultimate), 211.4351, "MPa", mean),
          exact_row("C14", "Smith-Watson-Topper amplitude", swt_amplitude(cycle), 282.8427, "MPa", mean),
          exact_row("C14", "Basquin exponent", law.exponent, -0.1148910, "1", life),
          exact_row("C14", "Basquin coefficient", law.coefficient_mpa, 1711.6457, "MPa", life),
          exact_row("C14", "Basquin coefficient for reversals", reversals_coefficient_mpa(law), 1853.5295, "MPa", life),
          exact_row("C14", "life at the Goodman amplitude", basquin_life(law, amplitude), 1.30265e7, "loadings", life, 50),
          exact_row("C14", "Miner sum", miner_usage({{1e5, 4e5}, {2e5, 1e6}, {1e5, 5e5}}), 0.65, "1", life),
          exact_row("C14", "Peterson sensitivity", peterson, 0.941864, "1", notch),
          exact_row("C14", "Peterson notch factor", notch_factor(2.408, peterson), 2.326145, "1", notch),
          exact_row("C14", "Neuber sensitivity", neuber, 0.861953, "1", notch),
          exact_row("C14", "Neuber notch factor", notch_factor(2.408, neuber), 2.213630, "1", notch)};
}
} // namespace

std::vector<CheckCase> margin_checks() { return {{"C14", fatigue_kit}}; }
} // namespace stifle::checks
