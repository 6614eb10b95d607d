#include "models/study/draws.h"
#include "models/study/design_points.h"
#include <algorithm>
#include <cmath>
#include <regex>

namespace stifle
{
std::vector<std::vector<double>> study_points(const Scenario &scenario, std::size_t n_inputs)
{
  const StudyParameters &study = scenario.study;
  return design_points(design(study.design), static_cast<std::size_t>(study.samples), 2 * n_inputs,
                       static_cast<std::uint64_t>(study.seed));
}

SampledDog nominal_dog(const Scenario &scenario, const std::vector<Activity> &activities)
{
  return {scenario, {}, activities, 0, 0, {}};
}

Draws::Draws(const Scenario &scenario, const std::vector<Activity> &activities, const std::vector<UncertainInput> *inputs)
    : inputs_(inputs ? *inputs : uncertain_inputs(scenario)), points_(study_points(scenario, inputs_.size())),
      nominal_(nominal_dog(scenario, activities))
{
}

void Gathered::add(double value, const Failure &failure)
{
  if (std::isfinite(value))
    return values_.push_back(value);
  ++failed_;
  dislocated_ += failure.dislocates;
  Reason &reason = reasons_[std::regex_replace(failure.reason, std::regex("[0-9][0-9.]*"), "#")];
  if (reason.times++ == 0 || failure.reason < reason.example)
    reason.example = failure.reason;
}

Spread Gathered::spread(double allowed) const
{
  Spread s;
  s.samples = values_.size() + failed_;
  s.failed = failed_;
  s.dislocated = dislocated_;
  std::size_t most = 0;
  for (const auto &[text, reason] : reasons_)
    if (reason.times > most)
    {
      most = reason.times;
      s.reason = reason.example;
    }
  if (values_.empty() || static_cast<double>(failed_) > allowed * static_cast<double>(s.samples))
    return s;
  std::vector<double> sorted = values_;
  std::sort(sorted.begin(), sorted.end());
  s.low = value_at(sorted, 0.05);
  s.median = value_at(sorted, 0.5);
  s.high = value_at(sorted, 0.95);
  return s;
}

double value_at(const std::vector<double> &sorted, double part)
{
  const double place = part * static_cast<double>(sorted.size() - 1);
  const std::size_t below = static_cast<std::size_t>(place), above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}
} // namespace stifle
