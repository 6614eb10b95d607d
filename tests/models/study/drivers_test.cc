// Requirements of the rank of inputs.
#include "tests/models/study/support.h"
#include <gtest/gtest.h>
#include <map>
#include <numeric>

using namespace stifle;

namespace
{
double thrust_of(const SampledDog &dog)
{
  return solve_sampled(dog, unoperated_bone(dog), LigamentState::intact, {LoadSet::stance, "walk", 50}).thrust_n;
}

double standard_deviation(const Distribution &d)
{
  double squares = 0;
  const int n = 2000;
  for (int i = 0; i < n; ++i)
    squares += std::pow(d.quantile((i + 0.5) / n) - d.quantile(0.5), 2) / n;
  return std::sqrt(squares);
}
} // namespace

// Requirement: the indices of the thrust agree with first-order propagation of errors, another method: the thrust is nearly
// linear, so an input's part is the square of its change from 16 to 84 % over the sum of these squares. 0.08: scatter of 256
// samples.
TEST(Drivers, AgreeWithPropagationOfErrors)
{
  const Scenario s = test::small_study(128);
  const auto inputs = uncertain_inputs(s);
  std::vector<double> squares;
  for (const UncertainInput &input : inputs)
  {
    SampledDog low = nominal_dog(s, test::walk()), high = low;
    input.apply(low, input.distribution.quantile(0.5) - standard_deviation(input.distribution));
    input.apply(high, input.distribution.quantile(0.5) + standard_deviation(input.distribution));
    squares.push_back(std::pow(thrust_of(high) - thrust_of(low), 2));
  }
  const double sum = std::accumulate(squares.begin(), squares.end(), 0.0);
  StudyOptions options;
  options.threads = 2;
  for (const DriverRow &row : rank_drivers(s, test::walk(), options))
    for (std::size_t i = 0; i < inputs.size(); ++i)
    {
      if (row.quantity != "thrust" || inputs[i].name != row.input)
        continue;
      EXPECT_NEAR(row.total.value(), squares[i] / sum, 0.1) << row.input;
    }
}

// Requirement: the same digits on one and three threads; ranks of each result are 1, 2, ... with falling totals; the spring that
// an intact joint never touches has no part in its thrust; the size of the ground force hardly moves the neutral slope, as all
// forces but the small weights grow with it (law): below 2 %.
TEST(Drivers, RankEveryInputOnce)
{
  const Scenario s = test::small_study(24);
  StudyOptions three;
  three.threads = 3;
  const auto rows = rank_drivers(s, test::walk(), {});
  EXPECT_EQ(sensitivity_table(rows).csv(), sensitivity_table(rank_drivers(s, test::walk(), three)).csv());
  const std::size_t k = uncertain_inputs(s).size();
  ASSERT_EQ(rows.size(), 4 * k);
  for (std::size_t i = 0; i < rows.size(); ++i)
  {
    EXPECT_EQ(rows[i].rank.value(), static_cast<int>(i % k) + 1);
    EXPECT_EQ(rows[i].samples, 24u);
    const DriverRow &row = rows[i];
    EXPECT_LE(row.total.value(), i % k ? rows[i - 1].total.value() : row.total.value());
    const bool spring = row.quantity == "thrust" && row.input == "secondary_slack";
    const bool ground = row.quantity == "neutral_plateau_angle_measured" && row.input == "ground_force_factor";
    EXPECT_LE(row.total.value(), spring ? 0 : ground ? 0.02 : 2) << row.quantity << ' ' << row.input;
  }
}

// Requirement: one sample cannot rank: cells stay empty, nothing is invented; no sample gives no row.
TEST(Drivers, StaySilentWithTooFewSamples)
{
  const auto rows = rank_drivers(test::small_study(1), test::walk(), {});
  ASSERT_FALSE(rows.empty());
  for (const DriverRow &row : rows)
    EXPECT_FALSE(row.total || row.first_order || row.rank);
  EXPECT_TRUE(rank_drivers(test::small_study(0), test::walk(), {}).empty());
  EXPECT_TRUE(rank_drivers(test::small_study(4), {}, {}).empty());
}

// Requirement: the tables have the columns of the contract.
TEST(StudyTables, CarryTheirColumns)
{
  EXPECT_EQ(bands_table({}).csv(),
            "plateau_angle_target_deg,ligament,repair,load_set,activity,stance_percent,quantity,unit,low,median,"
            "high,samples,failed,dislocated,reason\n");
  EXPECT_EQ(sensitivity_table({}).csv().rfind("quantity,activity,stance_percent,input,label,first_order,total,rank,samples", 0),
            0u);
  EXPECT_EQ(inputs_table(uncertain_inputs(test::flat())).n_rows(), uncertain_inputs(test::flat()).size());
}
