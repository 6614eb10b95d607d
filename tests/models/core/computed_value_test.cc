#include "models/core/error.h"
#include "models/core/scenario.h"
#include "models/core/yaml_node.h"
#include "tests/models/core/temporary.h"

#include <algorithm>
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
Scenario read_text(const std::string &text)
{
  const TemporaryFolder folder;
  return read_scenario(folder.write("scenario.yaml", text));
}
} // namespace

// Requirement: tibia.length_mm null is 200 (m/30)^(1/3) mm. Hand: an eighth of the mass is half the length; 30 kg are 200 mm.
TEST(NullTibiaLength, IsScaledFromTheMass)
{
  EXPECT_NEAR(read_text("dog: {mass_kg: 3.75}\ntibia: {length_mm: null}\n").tibia.length_mm, 100, 1e-9);
  EXPECT_NEAR(read_text("tibia: {length_mm: null}\n").tibia.length_mm, 200, 1e-9);
  EXPECT_EQ(read_text("dog: {mass_kg: 3.75}\n").tibia.length_mm, 200); // left out keeps the default
}

// Requirement: the echo shows the number used with its own label, and reads back to it.
TEST(NullTibiaLength, IsEchoedAsTheNumberUsed)
{
  const Scenario s = read_text("dog: {mass_kg: 3.75}\ntibia: {length_mm: null}\n");
  const std::string echo = echo_scenario(s);
  EXPECT_NE(echo.find("\n  length_mm: " + to_string_exact(s.tibia.length_mm) + "\n"), std::string::npos);
  EXPECT_NE(echo.find("[assumption: null in the scenario"), std::string::npos);
  EXPECT_EQ(read_text(echo).tibia.length_mm, s.tibia.length_mm);
  const auto rows = list_assumptions(s);
  const auto row = std::find_if(rows.begin(), rows.end(), [](const AssumptionRow &r) { return r.key == "tibia.length_mm"; });
  ASSERT_NE(row, rows.end());
  EXPECT_EQ(row->label, "assumption");
}

// Requirement: the largest and smallest mass give a length that the key itself would accept (60 to 320 mm).
TEST(NullTibiaLength, StaysInItsRange)
{
  EXPECT_GE(scaled_tibia_length_mm(2), 60);
  EXPECT_LE(scaled_tibia_length_mm(100), 320);
}

// Requirement: other numbers still refuse null, and .nan is no number.
TEST(NullTibiaLength, IsTheOnlyNullOfANumber)
{
  EXPECT_THROW(read_text("dog: {mass_kg: null}\n"), InputError);
  EXPECT_THROW(read_text("tibia: {length_mm: .nan}\n"), InputError);
}

// Requirement: a force out of the plane is refused in the sagittal model, by name.
TEST(Popliteus, NeedsTheThirdDimension)
{
  try
  {
    read_text("joint: {dimension: 2}\nlimb: {popliteus_n: 20}\n");
    FAIL() << "accepted";
  }
  catch (const InputError &error)
  {
    ASSERT_EQ(error.problems().size(), 1u);
    EXPECT_NE(error.problems()[0].message.find("limb.popliteus_n"), std::string::npos);
    EXPECT_EQ(error.problems()[0].line, 2);
  }
  EXPECT_NO_THROW(read_text("joint: {dimension: 2}\nlimb: {popliteus_n: 0}\n"));
}
