#include "models/study/one_dog.h"
#include "models/study/design_points.h"
#include "models/study/draws.h"

namespace stifle
{
OneDog one_dog(const Scenario &scenario, const std::vector<Activity> &activities)
{
  OneDog one{scenario, activities, {}};
  if (scenario.study.dog < 1)
    return one;
  const std::vector<UncertainInput> inputs = uncertain_inputs(scenario);
  const std::vector<double> point = sobol_point(std::size_t(scenario.study.dog - 1), 2 * inputs.size(), std::uint64_t(scenario.study.seed));
  const SampledDog dog = sampled_dog(nominal_dog(scenario, activities), inputs, point);
  one.scenario = dog.scenario;
  one.scenario.variation = dog.variation;
  one.activities = dog.activities;
  for (std::size_t i = 0; i < inputs.size(); ++i)
    one.drawn.push_back({inputs[i].name, inputs[i].unit, inputs[i].distribution.quantile(point[i])});
  return one;
}
} // namespace stifle
