#include "models/study/drivers.h"
#include "models/core/error.h"
#include "models/study/sensitivity.h"
#include <algorithm>
#include <array>
#include <numeric>

namespace stifle
{
namespace
{
constexpr std::array<const char *, 4> names = {"thrust", "cruciate_cranial", "translation_cranial",
                                               "neutral_plateau_angle_measured"};
using Results = std::array<double, names.size()>;

Results results_of(const SampledDog &dog, const StudyInstant &instant, double guess_deg)
{
  Results r = {not_found, not_found, not_found, not_found};
  try
  {
    const SampledBone bone = unoperated_bone(dog);
    const JointState intact = solve_sampled(dog, bone, LigamentState::intact, instant);
    if (intact.converged)
    {
      r[0] = intact.thrust_n;
      r[1] = intact.cruciate_cranial_n;
      const JointState torn = solve_sampled(dog, bone, LigamentState::torn, instant);
      if (torn.converged)
        r[2] = torn.translation_cranial_mm - intact.translation_cranial_mm;
    }
    r[3] = sampled_neutral_deg(dog, instant, guess_deg).value_or(not_found) + dog.observer_error_deg;
  }
  catch (const Error &) // this dog cannot be
  {
  }
  return r;
}

StudyInstant driven_instant(const std::vector<Activity> &activities)
{
  const bool walks = find_activity(activities, "walk") != nullptr;
  return {LoadSet::stance, walks ? "walk" : activities.front().name, 50};
}

/// Results of every dog of the design: [block][sample], blocks A, B, then A with each column of B.
std::vector<std::vector<Results>> solve_design(const SampledDog &nominal, const std::vector<UncertainInput> &inputs,
                                               const StudyInstant &instant, const StudyOptions &options)
{
  const std::size_t k = inputs.size();
  const std::vector<std::vector<double>> points = study_points(nominal.scenario, k);
  const double guess = scanned_neutral_deg(nominal, instant).value_or(10);
  std::vector<std::vector<Results>> results(k + 2, std::vector<Results>(points.size()));
  ProgressCounter counter(options.progress, points.size() * (k + 2));
  for_each_index(points.size(), options.threads,
                 [&](std::size_t sample)
                 {
                   const std::vector<double> &point = points[sample];
                   const std::vector<double> a(point.begin(), point.begin() + k), b(point.begin() + k, point.end());
                   for (std::size_t block = 0; block < k + 2; ++block)
                   {
                     const std::vector<double> at = block == 0 ? a : block == 1 ? b : swapped(a, b, block - 2);
                     results[block][sample] = results_of(sampled_dog(nominal, inputs, at), instant, guess);
                     counter.add_one();
                   }
                 });
  return results;
}

std::vector<double> column(const std::vector<Results> &block, std::size_t quantity)
{
  std::vector<double> values;
  for (const Results &r : block)
    values.push_back(r[quantity]);
  return values;
}

void add_rows(std::vector<DriverRow> &rows, const std::string &quantity, const StudyInstant &instant,
              const std::vector<UncertainInput> &inputs, const SobolIndices &indices)
{
  std::vector<std::size_t> order(inputs.size());
  std::iota(order.begin(), order.end(), 0);
  const bool known = !indices.total.empty();
  if (known)
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return indices.total[a] > indices.total[b]; });
  for (std::size_t place = 0; place < order.size(); ++place)
  {
    const std::size_t i = order[place];
    DriverRow row;
    row.quantity = quantity;
    row.instant = instant;
    row.input = inputs[i].name;
    row.label = to_string(inputs[i].label);
    if (known)
    {
      row.first_order = indices.first_order[i];
      row.total = indices.total[i];
      row.first_order_error = indices.first_order_error[i];
      row.total_error = indices.total_error[i];
      row.rank = static_cast<int>(place) + 1;
    }
    row.samples = indices.used + indices.failed;
    row.failed = indices.failed;
    rows.push_back(row);
  }
}
} // namespace

std::vector<DriverRow> rank_drivers(const Scenario &scenario, const std::vector<Activity> &activities,
                                    const StudyOptions &options)
{
  std::vector<DriverRow> rows;
  if (scenario.study.samples < 1 || activities.empty())
    return rows;
  const std::vector<UncertainInput> inputs = options.inputs ? *options.inputs : uncertain_inputs(scenario);
  const StudyInstant instant = driven_instant(activities);
  const auto results = solve_design(nominal_dog(scenario, activities), inputs, instant, options);
  for (std::size_t q = 0; q < names.size(); ++q)
  {
    std::vector<std::vector<double>> swapped_values;
    for (std::size_t i = 0; i < inputs.size(); ++i)
      swapped_values.push_back(column(results[i + 2], q));
    add_rows(rows, names[q], instant, inputs, sobol_indices(column(results[0], q), column(results[1], q), swapped_values));
  }
  return rows;
}
} // namespace stifle
