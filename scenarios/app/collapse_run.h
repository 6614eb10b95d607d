// scenarios/app/collapse_run.h - the single worst state of a slope loaded further until it collapses (output.collapse: worst)
//   load     all forces of the state times one factor; 1 is the state itself
//   metal    flows (J2, solver/plasticity.h); it breaks where its largest plastic strain uses up the elongation at break
//   bone     elastic; counts as broken where `bone_share` of the cortex of one segment is past its yield strains
//   collapse the least of: metal broken, bone broken, no equilibrium found. None of them up to `largest_factor`: that factor
//            stands as "at least"
//   errors   none: a run that ends early (also for its bound of Newton iterations) keeps the load reached and says why
#pragma once
#include "models/margins/modes.h"
#include "scenarios/app/slope_result.h"
#include "solver/plastic_construct.h"
#include <functional>

namespace stifle::app
{
constexpr double largest_factor = 20;

/// What is loaded; borrowed.
struct CollapseLoad
{
  const solver::CollapseCase    &setup;
  const std::vector<PointForce> &forces;
  double                         first_yield = 0; ///< solver::first_yield_factor of the elastic state: where the steps begin
  int most_iterations = solver::push_iterations; ///< of Newton: where the run ends at the latest
};
/// Fills the factors; week, activity and instant are the caller's. `between_steps` may throw to stop.
Collapse run_collapse(const CollapseLoad &load, const std::function<void()> &between_steps);

/// first_yield and collapse of the part construct, demand 1; first_yield only where it is known.
std::vector<Margin> collapse_margins(const Collapse &collapse);
} // namespace stifle::app
