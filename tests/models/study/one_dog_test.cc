// study.dog: one drawn dog as a scenario of its own.
#include "models/study/one_dog.h"
#include "models/study/design_points.h"
#include "models/study/draws.h"
#include <gtest/gtest.h>

using namespace stifle;

TEST(OneDog, PointIsThatOfTheWholeDesign)
{
  const auto all = design_points(Design::sobol, 70, 38, 5);
  for (const std::size_t index : {0, 1, 2, 3, 31, 64, 69})
    EXPECT_EQ(sobol_point(index, 38, 5), all[index]) << index;
}

TEST(OneDog, IsTheDogOfThatNumberInTheBands)
{
  Scenario scenario;
  scenario.study.samples = 8;
  const std::vector<Activity> activities = default_activities();
  const Draws draws(scenario, activities);
  for (const int number : {1, 2, 8})
  {
    scenario.study.dog = number;
    const SampledDog expected = draws.dog(std::size_t(number - 1));
    const OneDog     found    = one_dog(scenario, activities);
    EXPECT_EQ(found.scenario.tibia.plateau_angle_deg, expected.scenario.tibia.plateau_angle_deg);
    EXPECT_EQ(found.scenario.limb.hamstrings_n, expected.scenario.limb.hamstrings_n);
    EXPECT_EQ(found.activities.at(1).rows.at(2).force_up_bw, expected.activities.at(1).rows.at(2).force_up_bw);
    // The anatomy needs no more than the scenario.
    const Anatomy one = make_anatomy(found.scenario), other = make_anatomy(expected.scenario, expected.variation);
    EXPECT_EQ(one.tendon_insertion, other.tendon_insertion);
    EXPECT_EQ(one.cranial_cruciate_stiffness_n_per_mm, other.cranial_cruciate_stiffness_n_per_mm);
    EXPECT_NE(one.tendon_insertion, make_anatomy(Scenario()).tendon_insertion);
  }
}

TEST(OneDog, ListsWhatWasDrawnInsideTheBoundsOfItsInputs)
{
  Scenario scenario;
  scenario.study.dog = 3;
  const auto   inputs = uncertain_inputs(scenario);
  const OneDog dog    = one_dog(scenario, default_activities());
  ASSERT_EQ(dog.drawn.size(), inputs.size());
  for (std::size_t i = 0; i < inputs.size(); ++i)
  {
    EXPECT_EQ(dog.drawn[i].input, inputs[i].name);
    EXPECT_GT(dog.drawn[i].value, inputs[i].distribution.low());
    EXPECT_LT(dog.drawn[i].value, inputs[i].distribution.high());
  }
}

TEST(OneDog, NumberNoughtIsTheDogOfTheScenario)
{
  Scenario scenario;
  scenario.tibia.plateau_angle_deg = 23;
  const OneDog dog = one_dog(scenario, default_activities());
  EXPECT_EQ(dog.scenario.tibia.plateau_angle_deg, 23);
  EXPECT_EQ(dog.scenario.variation.tendon_insertion_shift_mm, 0);
  EXPECT_TRUE(dog.drawn.empty());
}

TEST(OneDog, AnotherSeedIsAnotherDog)
{
  Scenario scenario;
  scenario.study.dog = 1;
  const double first  = one_dog(scenario, {}).scenario.tibia.plateau_angle_deg;
  scenario.study.seed = 2;
  EXPECT_NE(one_dog(scenario, {}).scenario.tibia.plateau_angle_deg, first);
}
