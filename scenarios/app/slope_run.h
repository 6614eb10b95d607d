// scenarios/app/slope_run.h - steps 4 to 6 for one plateau slope: mesh, factor, states, fields, bands, collapse
//   errors  a state that fails is a sentence in SlopeResult::failed_states; anything before the states throws
#pragma once
#include "scenarios/app/construct_progress.h"
#include "scenarios/app/construct_tier.h"
#include <mutex>

namespace stifle::app
{
/// `mesher`: held while meshing (Gmsh keeps one global session).
SlopeResult run_slope(const ConstructPlan &plan, const Levelling &levelling, std::mutex &mesher, SlopeProgress &progress);
} // namespace stifle::app
