// C14: fatigue kit against the worked examples of construct.md 1.14 to 1.16
// C15: pull-out function against those of 1.10
// C16: pull-out of a 3.5 mm cortex screw through the proximal tibia: width of the parametric bone, strength from its modulus
// C28: rank of the tuberosity by its width (J25 counted here)
#include "mesh/bone_shape.h"
#include "models/margins/fatigue.h"
#include "models/margins/modes.h"
#include "models/margins/pull_out.h"
#include "models/parts/material.h"
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

std::vector<CheckRow> pull_out_function()
{
  const ScrewSize cortex = find_screw_size("cortex_3.5"), locking = find_screw_size("locking_3.5");
  const std::string source = "ASTM F543 annex, construct.md 1.10";
  return {exact_row("C15", "pull-out, 3.5 cortex, 3 mm of 40 MPa", pull_out_n(cortex, 40, 3), 994.924, "N", source),
          exact_row("C15", "pull-out, 3.5 cortex, 20 mm of 5 MPa", pull_out_n(cortex, 5, 20), 829.104, "N", source),
          exact_row("C15", "thread shape factor, 3.5 cortex", thread_shape_factor(cortex), 0.754034, "1", source),
          exact_row("C15", "thread shape factor, 3.5 locking", thread_shape_factor(locking), 0.716506, "1", source)};
}

/// Mean dog of the measured ones, 18 to 33 kg.
Scenario dog_of_the_pull_out_tests()
{
  Scenario scenario;
  scenario.dog.mass_kg = 0.5 * (18 + 33);
  scenario.tibia.length_mm = scaled_tibia_length_mm(scenario.dog.mass_kg);
  return scenario;
}

std::vector<CheckRow> pull_out_of_the_tibia()
{
  const Scenario scenario = dog_of_the_pull_out_tests();
  const double width = 2 * mesh::bone_sections(make_anatomy(scenario))[2].half_width; // at the height of the tendon insertion
  const ThreadHost core = cancellous_host(find_material("cancellous_bone").modulus_mpa);
  const ScrewSize screw = find_screw_size("cortex_3.5");
  const double shell = scenario.tibia.cortex_mm, force = 717.8, product = 86.6;
  const std::string source = "VCOT 2008, 10.3415/VCOT-07-08-0082 (S61), 20 dogs of 18 to 33 kg; width of the parametric tibia of "
                             "25.5 kg, shear strength an assumption (models/margins/pull_out.h)";
  return {because(check_row("C16", "pull-out, cancellous bone over the width", pull_out_n(screw, core.shear_mpa, width), force,
                            0.25 * force, "N", 'E', true, source),
                  "the strength of cancellous bone comes from its modulus alone"),
          because(check_row("C16", "shear strength times length of cancellous bone", core.shear_mpa * width, product,
                            0.25 * product, "N/mm", 'E', true, source),
                  "the strength of cancellous bone comes from its modulus alone"),
          because(check_row("C16", "pull-out with both cortices of the parametric bone",
                            thread_hold_n(screw, {{core, width - 2 * shell}, {cortical_host(), 2 * shell}}), force, 0.25 * force,
                            "N", 'E', true, source),
                  "two cortices of 2 mm at a human shear strength carry 2.1 kN alone; how thick and strong the shell near the "
                  "joint is was not found, so the hold of proximal screws counts cancellous bone only")};
}

/// The pull cancels in every row.
double tuberosity_margin(double tendon_n, double width_mm)
{
  const Margin row = tuberosity_mode(tendon_n, width_mm);
  return row.capacity / row.demand;
}

std::vector<CheckRow> tuberosity_rank()
{
  const double narrow = 7.2, wide = 10.8, pull = 505; // mm, Vet Surg 2008; N
  const double share = tuberosity_margin(pull, narrow) / tuberosity_margin(pull, wide);
  const double index = tuberosity_risk_index(30, narrow) / tuberosity_risk_index(30, wide);
  const std::string law = "; the width law was chosen inside the range of J25, so not independent";
  return {check_row("C28", "tuberosity margin at 7.2 mm over that at 10.8 mm is below 1", share, 0.5, 0.5 - 1e-9, "1", 'E', false,
                    "rank only, Vet Surg 2008 (S24)" + law),
          check_row("C28", "tuberosity stress at 7.2 mm over that at 10.8 mm (J25)", 1 / share, 1.875, 0.375 + 1e-9, "1", 'E',
                    false, "1.5 to 2.25, 10.1111/j.1532-950X.2008.00391.x" + law),
          check_row("C28", "the same over the ratio of body weight / width^2", 1 / share / index, 1, 1e-9, "1", 'E', false,
                    "trend with body weight over width squared, Vet Surg 2004;33:468 (S25)" + law)};
}
} // namespace

std::vector<CheckCase> margin_checks()
{
  return {{"C14", fatigue_kit}, {"C15", pull_out_function}, {"C16", pull_out_of_the_tibia}, {"C28", tuberosity_rank}};
}
} // namespace stifle::checks
