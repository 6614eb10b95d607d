#include "models/core/nearest.h"
#include <gtest/gtest.h>

using namespace stifle;

TEST(EditDistance, CountsInsertDeleteReplaceAndSwap)
{
  // Counted by hand.
  EXPECT_EQ(edit_distance("torn", "torn"), 0);
  EXPECT_EQ(edit_distance("torn", "tron"), 1);
  EXPECT_EQ(edit_distance("torn", "ton"), 1);
  EXPECT_EQ(edit_distance("torn", "thorn"), 1);
  EXPECT_EQ(edit_distance("torn", "turn"), 1);
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3); // the textbook pair
  EXPECT_EQ(edit_distance("", "abc"), 3);
}

TEST(NearestWord, IsOfferedUpToTwoEdits)
{
  const std::vector<std::string> keys = {"length_mm", "width_mm", "mass_kg"};
  EXPECT_EQ(nearest_word("lenght_mm", keys), "length_mm");
  EXPECT_EQ(nearest_word("wdth_m", keys), "width_mm");
  EXPECT_EQ(nearest_word("wdt_m", keys), "");
  EXPECT_EQ(nearest_word("colour", keys), "");
  EXPECT_EQ(nearest_word("", keys), "");
}

TEST(NearestWord, IsNoWordThatWouldChangeCompletely) { EXPECT_EQ(nearest_word("xy", {"ab"}), ""); }
