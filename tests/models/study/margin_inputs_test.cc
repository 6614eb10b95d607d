// What is drawn for bands of margins.
#include "models/healing/callus.h"
#include "models/study/margin_inputs.h"
#include "tests/models/study/support.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;

// Requirement (design, Truth): margins are drawn on the fixed mesh. At both ends of every input the tibia, its slope and the place of
// everything that acts on it are those of the scenario, and the weight stays.
TEST(MarginInputs, LeaveTheTibiaWhereItIsMeshed)
{
  for (const int dimension : {2, 3})
  {
    Scenario s;
    s.joint.dimension  = dimension;
    s.repair.kind      = {"levelling", "suture"};
    const auto    inputs = margin_inputs(s);
    const Anatomy nominal = make_anatomy(s);
    for (const double u : {1e-6, 1 - 1e-6})
    {
      const SampledDog dog   = sampled_dog({s, {}, {}, 0, 0, {}}, inputs, std::vector<double>(inputs.size(), u));
      const Anatomy    drawn = make_anatomy(dog.scenario, dog.variation);
      EXPECT_EQ(drawn.plateau_angle_rad, nominal.plateau_angle_rad);
      EXPECT_EQ((drawn.tendon_insertion - nominal.tendon_insertion).norm(), 0);
      EXPECT_EQ((drawn.hock_centre - nominal.hock_centre).norm(), 0);
      EXPECT_EQ((drawn.calcanean_origin - nominal.calcanean_origin).norm(), 0);
      EXPECT_EQ(dog.scenario.dog.mass_kg, s.dog.mass_kg);
      EXPECT_EQ(dog.observer_error_deg, 0);
    }
  }
}

// Requirement (issue 6, Bands): loads, strengths, friction and callus are all drawn; each has a source.
TEST(MarginInputs, DrawLoadsFrictionCallusAndStrengths)
{
  std::set<std::string> names;
  for (const UncertainInput &input : margin_inputs(Scenario()))
  {
    EXPECT_FALSE(input.source.empty()) << input.name;
    EXPECT_TRUE(names.insert(input.name).second) << input.name;
  }
  for (const char *name : {"ground_force_factor", "hamstrings", "friction", "callus_shift", "plate_yield", "screw_yield", "plate_life",
                           "bone_strength", "tuberosity_strength", "whole_bone_strength"})
    EXPECT_TRUE(names.count(name)) << name;
}

// Requirement: friction is drawn from 0.3 to 0.5 (construct.md section 6) about the default.
TEST(MarginInputs, DrawFrictionAsTheSheetSays)
{
  const auto            inputs   = margin_inputs(Scenario()); // must outlive the reference
  const UncertainInput &friction = test::input(inputs, "friction");
  EXPECT_NEAR(friction.distribution.low(), 0.3, 1e-12);
  EXPECT_NEAR(friction.distribution.high(), 0.5, 1e-12);
  SampledDog dog;
  friction.apply(dog, 0.37);
  EXPECT_EQ(dog.scenario.healing.friction, 0.37);
}

// Requirement: the drawn callus meets the ends of the bracket of week 4 (10 to 100 MPa) and stays inside that of week 8 (2000 to
// 6000 MPa); construct.md section 6, typed again here.
TEST(MarginInputs, DrawCallusInsideTheBrackets)
{
  const auto [slow, fast] = callus_shift_bounds();
  EXPECT_NEAR(callus_modulus_mpa(4, slow), 10, 1e-9);
  EXPECT_NEAR(callus_modulus_mpa(4, fast), 100, 1e-8);
  EXPECT_GT(callus_modulus_mpa(8, slow), 2000);
  EXPECT_LT(callus_modulus_mpa(8, fast), 6000);
  EXPECT_EQ(callus_modulus_mpa(0, fast), 0); // the fresh cut has none
}
