// scenarios/app/slope_run.h - steps 4 to 6 for one plateau slope: mesh, factor, states, fields, bands, collapse
//   errors  a state that fails is a sentence in SlopeResult::failed_states; anything before the states throws
#pragma once
#include "scenarios/app/construct_progress.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/spare_threads.h"
#include <mutex>

namespace stifle::app
{
/// What the slopes of a run share.
struct Shared
{
  std::mutex   mesher; ///< held while meshing (Gmsh keeps one global session)
  SpareThreads spare;
};

SlopeResult run_slope(const ConstructPlan &plan, const Levelling &levelling, Shared &shared, SlopeProgress &progress);
} // namespace stifle::app
