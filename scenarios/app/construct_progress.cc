#include "scenarios/app/construct_progress.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/margin_bands.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
constexpr double fixed_units = 10 + 15 + 2;

double scale_of(bool operated) { return operated ? 1 : 0.25; }

std::size_t states_of(const ConstructPlan &plan)
{
  return plan.scenario.healing.weeks.size() * plan.activities.size() * plan.scenario.study.stance_percent.size();
}

double construct_units(const ConstructPlan &plan, const std::vector<Levelling> &slopes)
{
  double units = 0;
  for (const Levelling &slope : slopes)
    units += scale_of(slope.cut) * (fixed_units + double(states_of(plan)));
  return units;
}

/// Upper bound: states that are equal to others are not drawn again.
std::size_t draws_of(const ConstructPlan &plan)
{
  const auto &study = plan.scenario.study;
  if (study.samples < 1 || study.margin_samples < 1)
    return 0;
  return std::size_t(std::min(study.samples, study.margin_samples)) * std::min(states_of(plan), banded_states);
}
} // namespace

ConstructProgress::ConstructProgress(const ConstructPlan &plan, const std::vector<Levelling> &slopes)
  : construct("construct", construct_units(plan, slopes)), states_per_slope(states_of(plan)), draws_per_slope(draws_of(plan))
{
  if (draws_per_slope > 0)
    bands.emplace("bands", double(draws_per_slope * slopes.size()));
  const auto pushes = std::count_if(slopes.begin(), slopes.end(), [](const Levelling &slope) { return slope.cut; });
  if (plan.scenario.output.collapse == "worst" && pushes > 0)
    collapse.emplace("collapse", double(pushes));
}

void ConstructProgress::end(const std::vector<SlopeResult> &results, std::size_t taken_up)
{
  std::size_t states = 0, failed = 0, margins = 0, pushes = 0;
  for (const SlopeResult &slope : results)
  {
    states += slope.states.size();
    failed += !slope.error.empty();
    margins += slope.bands.size();
    pushes += slope.collapse.has_value();
  }
  std::string text = fmt::format("{} slopes, {} states", results.size(), states);
  if (taken_up > 0)
    text += fmt::format(", {} finished by an earlier run", taken_up);
  if (failed > 0)
    text += fmt::format(", {} FAILED", failed);
  construct.end(text);
  if (bands)
    bands->end(fmt::format("{} bands of margins", margins));
  if (collapse)
    collapse->end(fmt::format("{} slopes loaded until they collapse", pushes));
}

SlopeProgress::SlopeProgress(ConstructProgress &all, bool operated)
  : all_(all), scale_(scale_of(operated)), left_(scale_ * (fixed_units + double(all.states_per_slope))),
    draws_left_(double(all.draws_per_slope)), pushes_left_(operated ? 1 : 0)
{}

SlopeProgress::~SlopeProgress()
{
  all_.construct.skip(left_);
  if (all_.bands)
    all_.bands->skip(draws_left_);
  if (all_.collapse)
    all_.collapse->skip(pushes_left_);
}

void SlopeProgress::done(double units)
{
  left_ -= scale_ * units;
  all_.construct.add(scale_ * units);
}

void SlopeProgress::solved_state(bool copied)
{
  left_ -= scale_;
  if (copied)
    all_.construct.skip(scale_);
  else
    all_.construct.add(scale_);
}

void SlopeProgress::draws(const std::string &what)
{
  if (all_.bands)
    all_.bands->say(what);
}

void SlopeProgress::drew_one()
{
  draws_left_ -= 1;
  if (all_.bands)
    all_.bands->add(1);
}

void SlopeProgress::pushes(const std::string &what)
{
  if (all_.collapse)
    all_.collapse->say(what);
}

void SlopeProgress::pushed()
{
  pushes_left_ -= 1;
  if (all_.collapse)
    all_.collapse->add(1);
}
} // namespace stifle::app
