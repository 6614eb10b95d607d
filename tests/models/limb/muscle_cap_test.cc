#include "models/limb/muscle_cap.h"
#include "models/limb/sheet.h"

#include <algorithm>
#include <gtest/gtest.h>

using namespace stifle;

// Requirement: the cap is stress times area. Hand calculation: 0.30 N/mm2 * 2000 mm2 = 600 N at 30 kg.
TEST(MuscleCap, IsStressTimesArea)
{
  Scenario dog;
  dog.limb.muscle_stress_mpa = 0.30;
  dog.limb.quadriceps_area_mm2 = 2000;
  EXPECT_NEAR(quadriceps_cap_n(dog), 600, 1e-9);
  dog.limb.muscle_stress_mpa = 0.25;
  EXPECT_NEAR(quadriceps_cap_n(dog), 500, 1e-9);
}

// Requirement: areas scale with mass^(2/3): a dog of 8 times less mass has a quarter of the cap (law: geometric similarity).
TEST(MuscleCap, ScalesWithTheAreaOfASimilarDog)
{
  Scenario large, small;
  small.dog.mass_kg = large.dog.mass_kg / 8;
  EXPECT_NEAR(quadriceps_cap_n(small), quadriceps_cap_n(large) / 4, 1e-9);
}

// Requirement: the default cap lies in the bracket of the sheet: 0.25 * 1700 = 425 to 0.30 * 2000 = 600 N (joint.md 6c).
TEST(MuscleCap, LiesInTheBracketOfTheSheet)
{
  EXPECT_GE(quadriceps_cap_n(Scenario()), 425);
  EXPECT_LE(quadriceps_cap_n(Scenario()), 600 + 1e-9);
}

// Requirement: the cap bites in the bursts of alternatives.md 1c and not in slower tasks (its reading 3: bursts give P near 1
// kN). Printed P stands for the quadriceps here: 782 to 1267 N against at most 505 N (turning trot).
TEST(MuscleCap, BitesInTheBurstsOfTheSheet)
{
  const std::vector<std::string> bursts = {"gallop", "sprint_start", "jump_up", "jump_down"};
  for (const std::string &name : sheet_load_cases())
    EXPECT_EQ(beyond_muscle_cap(Scenario(), sheet_rows(name).front().patellar_tendon_n),
              std::count(bursts.begin(), bursts.end(), name) == 1)
        << name;
}

// Requirement: a state beyond the cap is flagged and named; at the cap it is not.
TEST(MuscleCap, FlagsAStateBeyondIt)
{
  const Scenario dog;
  const double cap = quadriceps_cap_n(dog);
  EXPECT_FALSE(beyond_muscle_cap(dog, cap));
  EXPECT_TRUE(beyond_muscle_cap(dog, 1.001 * cap));
  EXPECT_EQ(muscle_flag(dog, 0.5 * cap), "");
  EXPECT_EQ(muscle_flag(dog, 1.001 * cap), "beyond_muscle_cap");
}
