// Requirements of the study of the joint in space: few samples, as one dog costs a thousand balances.
#include "tests/models/study/support.h"
#include <gtest/gtest.h>
#include <numeric>

using namespace stifle;
using test::row_key;

namespace
{
Scenario spatial_study(int samples)
{
  Scenario s;
  s.joint.dimension = 3;
  s.repair.kind = {"levelling", "wedge", "suture", "advancement"};
  s.study.samples = samples;
  return s;
}

std::vector<JointRow> every_repair(const Scenario &s)
{
  const double own = s.tibia.plateau_angle_deg;
  std::vector<JointRow> rows;
  for (const auto &[repair, target] : std::vector<std::pair<std::string, double>>{
           {"none", own}, {"levelling", 6}, {"wedge", s.wedge.target_deg}, {"suture", own}, {"advancement", own}})
    rows.push_back(row_key(target, repair, LoadSet::stance, "walk"));
  return rows;
}

StudyOptions on(int threads)
{
  StudyOptions options;
  options.threads = threads;
  return options;
}

const Band &band(const std::vector<Band> &bands, const std::string &repair, const std::string &quantity)
{
  for (const Band &b : bands)
    if (b.repair == repair && b.quantity == quantity)
      return b;
  throw std::runtime_error("no band " + repair + ' ' + quantity);
}

/// One set of bands for all tests that only read it.
const std::vector<Band> &bands_of_every_repair()
{
  const Scenario s = spatial_study(8);
  static const std::vector<Band> bands = sample_bands(s, test::walk(), every_repair(s), on(2));
  return bands;
}
} // namespace

// Requirement: no digit of a study of the spatial joint depends on the threads.
TEST(SpatialStudy, IsTheSameOnAnyThreadCount)
{
  const Scenario s = spatial_study(3);
  const auto csv = [&](int threads)
  {
    std::vector<Band> bands = sample_bands(s, test::walk(), every_repair(s), on(threads));
    for (const NeutralBand &n : sample_neutral_bands(s, test::walk(), {{"press", {LoadSet::press, "", 0}}}, on(threads)))
      bands.insert(bands.end(), {n.angle, n.measured});
    return bands_table(bands).csv();
  };
  const std::string one = csv(1);
  EXPECT_EQ(one, csv(3));
  EXPECT_NE(one.find("neutral_plateau_angle_measured"), std::string::npos);
}

// Requirement: every repair has its bands; four quantities each, the suture its load too; each band holds its median, and
// thrust and shift have a width, as inputs that matter are drawn (a cruciate may be slack in every dog).
TEST(SpatialStudy, EveryRepairHasItsBands)
{
  const auto &bands = bands_of_every_repair();
  EXPECT_EQ(bands.size(), 5u * 4 + 1);
  for (const Band &b : bands)
  {
    ASSERT_TRUE(b.low && b.median && b.high) << b.repair << ' ' << b.quantity << ": " << b.reason;
    EXPECT_LE(*b.low, *b.median);
    EXPECT_LE(*b.median, *b.high);
    if (b.quantity == "thrust" || b.quantity == "translation_cranial")
    {
      EXPECT_LT(*b.low, *b.high) << b.repair << ' ' << b.quantity;
    }
    EXPECT_EQ(b.samples, 8u);
    EXPECT_EQ(b.failed, 0u) << b.repair << ' ' << b.quantity << ": " << b.reason;
  }
}

// Requirement: the thrust leaves contact, ligament and suture out (design.md "Joint"), and a suture moves no landmark: the same
// drawn dogs have the same thrust with and without one, to the last digit. The suture holds the tibia back: its cranial shift is
// the smaller, and the line carries load.
TEST(SpatialStudy, SutureLeavesTheThrustAndHoldsTheTibia)
{
  const auto &bands = bands_of_every_repair();
  EXPECT_EQ(*band(bands, "suture", "thrust").low, *band(bands, "none", "thrust").low);
  EXPECT_EQ(*band(bands, "suture", "thrust").high, *band(bands, "none", "thrust").high);
  EXPECT_LT(*band(bands, "suture", "translation_cranial").median, *band(bands, "none", "translation_cranial").median);
  EXPECT_GT(*band(bands, "suture", "repair_load").median, 0);
}

// Requirement: advancement and both ways of levelling are done to lower the thrust (alternatives.md section 2).
TEST(SpatialStudy, RepairsOfTheBoneLowerTheThrust)
{
  const auto &bands = bands_of_every_repair();
  for (const char *repair : {"levelling", "wedge", "advancement"})
    EXPECT_LT(*band(bands, repair, "thrust").median, *band(bands, "none", "thrust").median) << repair;
}

// Requirement: where no input spreads there is no band: 5, 50 and 95 % are one number, that of the one dog.
TEST(SpatialStudy, NoSpreadNoScatter)
{
  const Scenario s = spatial_study(4);
  std::vector<UncertainInput> held = uncertain_inputs(s);
  for (UncertainInput &input : held)
    input.distribution = Distribution::uniform(input.distribution.quantile(0.5), input.distribution.quantile(0.5));
  StudyOptions options;
  options.inputs = &held;
  const SampledDog dog = sampled_dog(nominal_dog(s, test::walk()), held, std::vector<double>(held.size(), 0.3));
  for (const Band &b : sample_bands(s, test::walk(), every_repair(s), options))
  {
    EXPECT_EQ(b.low.value(), b.high.value()) << b.repair << ' ' << b.quantity;
    EXPECT_EQ(b.median.value(), b.high.value());
    if (b.quantity == "thrust")
    {
      const SampledBone bone = sampled_bone(dog, b.repair, *b.plateau_angle_target_deg);
      EXPECT_EQ(b.median.value(), solve_sampled(dog, bone, LigamentState::intact, b.instant).thrust_n);
    }
  }
}

// Requirement: with no hamstrings in the scenario the line stance is that of a walk, whether or not the dog walks in the
// scenario; a dog whose scenario has hamstrings has another walk, and the same line stance.
TEST(SpatialStudy, LineStanceHasNoHamstrings)
{
  Scenario s = spatial_study(2);
  const auto band_of = [&](const std::vector<Activity> &activities, const std::string &name)
  {
    for (const NeutralLine &line : neutral_lines(activities))
      if (line.name == name)
        return sample_neutral_bands(s, activities, {line}, {}).at(0).angle;
    throw std::runtime_error("no line " + name);
  };
  const Band stance = band_of({test::activity("stand")}, "stance"), walk = band_of(test::walk(), "walk");
  EXPECT_EQ(stance.low.value(), walk.low.value());
  EXPECT_EQ(stance.high.value(), walk.high.value());
  s.limb.hamstrings_n = 30;
  EXPECT_EQ(band_of(test::walk(), "stance").high.value(), stance.high.value());
  EXPECT_GT(band_of(test::walk(), "walk").high.value(), walk.high.value()); // they pull the tibia back: less levelling is enough
}

// Requirement: the indices of the spatial joint's thrust say what first-order propagation of errors says, another method: an
// input's part is the square of its change from -1 to +1 SD over the sum of these. The capsule is slack in the intact walk, so
// that it has no part (law of the model: the thrust counts no ligament). 0.1: scatter of 64 base samples.
TEST(SpatialStudy, IndicesAgreeWithPropagationOfErrors)
{
  const Scenario s = spatial_study(64);
  const auto all = uncertain_inputs(s);
  const std::vector<UncertainInput> inputs = {test::input(all, "native_plateau_angle"), test::input(all, "stifle_angle_shift"),
                                              test::input(all, "capsule_slack_shift")};
  std::vector<double> squares;
  for (std::size_t i = 0; i < inputs.size(); ++i)
  {
    const auto thrust = [&](double part)
    {
      std::vector<double> point(inputs.size(), 0.5);
      point[i] = part;
      const SampledDog dog = sampled_dog(nominal_dog(s, test::walk()), inputs, point);
      return solve_sampled(dog, unoperated_bone(dog), LigamentState::intact, {LoadSet::stance, "walk", 50}).thrust_n;
    };
    squares.push_back(std::pow(thrust(0.8413) - thrust(0.1587), 2)); // +-1 SD of a normal law
  }
  const double sum = std::accumulate(squares.begin(), squares.end(), 0.0);
  StudyOptions options = on(2);
  options.inputs = &inputs;
  int seen = 0;
  for (const DriverRow &row : rank_drivers(s, test::walk(), options))
    for (std::size_t i = 0; i < inputs.size(); ++i)
      if (row.quantity == "thrust" && row.input == inputs[i].name)
      {
        ++seen;
        EXPECT_EQ(row.failed, 0u);
        EXPECT_NEAR(row.total.value(), squares[i] / sum, 0.1) << row.input;
        EXPECT_LE(row.total.value(), row.input == "capsule_slack_shift" ? 0.02 : 1.2);
      }
  EXPECT_EQ(seen, 3);
}
