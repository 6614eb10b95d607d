// scenarios/app/margin_bands.h - low and high of the margins: drawn loads, friction, callus and strengths on the fixed mesh
//   states   the ten of each slope with the least margin of any mode but fatigue; a state counts once, however many of its modes
//            are low, and a copy (same instant or week, nothing that differs) not at all; ties: the earlier one. All modes of a
//            chosen state get a band
//   draws    the first study.margin_samples (at most study.samples) points of margin_inputs: design, seed and 5 and 95 % as in the
//            joint's bands (models/study/bands.h). Quantiles are taken of demand over capacity, which is finite without demand
//   fatigue  each draw's race runs with the solved states; a state that is not solved again follows, part by part, with the mean
//            ratio drawn / nominal of those that are (exact where the loads alone differ)
//   fails    a draw without a joint or a contact solution is left out and counted; above 5 % of them the band stays empty
//   digits   a slope is one thread's work in a fixed order: the same for any number of threads
#pragma once
#include "models/study/draws.h"
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
constexpr std::size_t banded_states = 10;

/// Indices into slope.states, least margin first.
std::vector<std::size_t> least_states(const Scenario &scenario, const SlopeResult &slope, std::size_t number = banded_states);

/// Draws of margin_inputs, or of `inputs`; none when study.samples or study.margin_samples is 0.
Draws margin_draws(const Scenario &scenario, const std::vector<Activity> &activities,
                   const std::vector<UncertainInput> *inputs = nullptr);

/// Solves a state anew for a drawn dog: week, activity and instant of `nominal`. Throws Error when it cannot.
using SolveDrawn = std::function<StateRow(const SampledDog &dog, const StateRow &nominal)>;
std::vector<MarginBand> sample_margins(const Scenario &scenario, const SlopeResult &slope, const Draws &draws,
                                       const SolveDrawn &solve);

/// One sentence for the log: draws, states, failures with their most frequent reason.
std::string bands_sentence(const std::vector<MarginBand> &bands);
} // namespace stifle::app
