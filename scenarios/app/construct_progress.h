// scenarios/app/construct_progress.h - how far the construct tier is: stages construct, bands and collapse over all slopes
//   units    construct: seconds of the main job on 2 cores (mesh 10, factor 15, a state 1, fields 2; a bone without a plate a quarter);
//            bands: states solved for drawn dogs; collapse: pushes (how far a push will go is not known beforehand)
//   skipped  what a slope need not do, or did in an earlier run, counts as done but not into the rate that the time left is told from
#pragma once
#include "models/parts/levelling.h"
#include "scenarios/app/stages.h"
#include <optional>
#include <vector>

namespace stifle::app
{
struct ConstructPlan;
struct SlopeResult;

class ConstructProgress
{
public:
  ConstructProgress(const ConstructPlan &plan, const std::vector<Levelling> &slopes);
  /// What came of it, on the screen.
  void end(const std::vector<SlopeResult> &results, std::size_t taken_up);

  Stage                construct;
  std::optional<Stage> bands, collapse; ///< where the scenario asks for them
  const std::size_t    states_per_slope, draws_per_slope;
};

/// One slope of them; what it has left when it goes is skipped.
class SlopeProgress
{
public:
  SlopeProgress(ConstructProgress &all, bool operated);
  ~SlopeProgress();
  SlopeProgress(const SlopeProgress &) = delete;
  SlopeProgress &operator=(const SlopeProgress &) = delete;

  void starts(const std::string &what) { all_.construct.say(what); }
  void meshed() { done(10); }
  void factored() { done(15); }
  void solved_state(bool copied);
  void wrote_fields() { done(2); }
  void draws(const std::string &what);
  void drew_one();
  void pushes(const std::string &what);
  void pushed();

private:
  void done(double units);
  ConstructProgress &all_;
  const double       scale_;
  double             left_, draws_left_, pushes_left_;
};
} // namespace stifle::app
