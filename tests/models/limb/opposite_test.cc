#include "models/limb/opposite.h"

#include "models/core/error.h"

#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

// Requirement: limb use takes the values of the sheet at its weeks (alternatives.md section 3).
TEST(LimbUse, TakesTheValuesOfTheSheet)
{
  EXPECT_DOUBLE_EQ(limb_use("none", 2), 0.36);
  EXPECT_DOUBLE_EQ(limb_use("none", 6), 0.46);
  EXPECT_DOUBLE_EQ(limb_use("none", 12), 0.53);
  EXPECT_DOUBLE_EQ(limb_use("none", 2.5 * 365.25 / 7), 0.71);
  EXPECT_DOUBLE_EQ(limb_use("levelling", 2), 0.40);
  EXPECT_DOUBLE_EQ(limb_use("levelling", 4), 0.65);
  EXPECT_DOUBLE_EQ(limb_use("levelling", 8), 0.80);
  EXPECT_DOUBLE_EQ(limb_use("levelling", 16), 0.92);
  EXPECT_DOUBLE_EQ(limb_use("levelling", 26), 0.96);
}

// Requirement: linear between weeks, held outside. Hand: none at 5 weeks 0.36 + 3/4 * 0.10 = 0.435; levelling at 10 weeks
// 0.80 + 2/8 * 0.12 = 0.83.
TEST(LimbUse, IsLinearBetweenWeeksAndHeldOutside)
{
  EXPECT_NEAR(limb_use("none", 5), 0.435, 1e-12);
  EXPECT_NEAR(limb_use("levelling", 10), 0.83, 1e-12);
  EXPECT_EQ(limb_use("none", 0), 0.36);
  EXPECT_EQ(limb_use("levelling", 0), 0.40);
  EXPECT_EQ(limb_use("levelling", 500), 0.96);
}

// Requirement: a wedge recovers as levelling does; a suture stays behind it as at 4 months (0.83 against 0.94 of symmetry,
// alternatives.md section 3). Hand, 2 weeks: 0.40 x 0.83 / 0.94 = 0.353191. The curve meets the 0.83 of 4 months (17.4 weeks) to
// 2 %.
TEST(LimbUse, OfASutureStaysBehindLevelling)
{
  for (const double week : {0.0, 3.0, 8.0, 30.0})
    EXPECT_EQ(limb_use("wedge", week), limb_use("levelling", week));
  EXPECT_NEAR(limb_use("suture", 2), 0.353191, 1e-6);
  EXPECT_NEAR(limb_use("suture", 4 * 365.25 / 12 / 7), 0.83, 0.02 * 0.83);
}

// Requirement: a third of the lost share goes to each of the other limbs.
// Hand, none at 2 weeks, trot: hind 0.20, operated 0.072, lost 0.128, a third 0.0426667.
TEST(OppositeLimb, SharesTheLossInThirds)
{
  const OppositeRow row = opposite_row("none", "trot", 2);
  EXPECT_NEAR(row.operated_share, 0.072, 1e-12);
  EXPECT_NEAR(row.opposite_hind_share, 0.2 + 0.128 / 3, 1e-12);
  EXPECT_NEAR(row.opposite_fore_share, 0.3 + 0.128 / 3, 1e-12);
  EXPECT_NEAR(row.same_side_fore_share, 0.3 + 0.128 / 3, 1e-12);
  EXPECT_NEAR(row.scale_operated, 0.36, 1e-12);
  EXPECT_NEAR(row.scale_opposite, 1 + 0.64 / 3, 1e-12);
}

// Requirement A13: the impulses of the four limbs add up to body weight x stride time within 0.1 %, for every repair, activity,
// week and way to share the loss (law: no mean vertical acceleration).
TEST(OppositeLimb, CarriesTheBodyWeight)
{
  const std::vector<OppositeRow> rows = opposite_rows({"none", "levelling", "wedge", "suture"}, {"stand", "walk", "trot"},
                                                      {0, 2, 3, 7, 12, 26, 60}, {0.5, 0.3, 0.2});
  EXPECT_EQ(rows.size(), 84u);
  for (const OppositeRow &row : rows)
  {
    const double sum = row.operated_share + row.opposite_hind_share + row.opposite_fore_share + row.same_side_fore_share;
    EXPECT_NEAR(sum, 1, 1e-3) << row.repair << row.activity << row.week;
    EXPECT_NEAR(row.impulse_sum_bw, sum, 1e-12);
  }
}

// Requirement: a sound limb would change nothing: the loss, and so every change, is in proportion to 1 - use.
TEST(OppositeLimb, ChangesInProportionToTheLoss)
{
  const OppositeRow a = opposite_row("none", "walk", 2), b = opposite_row("levelling", "walk", 26);
  EXPECT_NEAR((a.scale_opposite - 1) / (1 - 0.36), (b.scale_opposite - 1) / (1 - 0.96), 1e-12);
  EXPECT_NEAR((a.same_side_fore_share - 0.3) / (1 - 0.36), (b.same_side_fore_share - 0.3) / (1 - 0.96), 1e-12);
}

// Requirement: fore limbs carry 60 % in walk and trot, 62 to 69 % when standing (joint.md 6a; alternatives.md section 3).
TEST(OppositeLimb, KnowsTheForeShare)
{
  EXPECT_EQ(fore_share("walk"), 0.60);
  EXPECT_EQ(fore_share("trot"), 0.60);
  EXPECT_GE(fore_share("stand").value(), 0.62);
  EXPECT_LE(fore_share("stand").value(), 0.69);
  EXPECT_FALSE(fore_share("gallop"));
  EXPECT_FALSE(fore_share("turning_trot")); // left and right differ in a turn
}

// Requirement: what has no numbers is refused or left out, never made up.
TEST(OppositeLimb, RefusesWhatHasNoNumbers)
{
  const double nan = std::nan("");
  EXPECT_THROW(limb_use("advancement", 2), Error);
  EXPECT_THROW(limb_use("none", -1), Error);
  EXPECT_THROW(limb_use("none", nan), Error);
  EXPECT_THROW(opposite_row("none", "gallop", 2), Error);
  EXPECT_THROW(opposite_row("none", "walk", 2, {0.5, 0.5, 0.5}), Error);
  EXPECT_THROW(opposite_row("none", "walk", 2, {-0.5, 1, 0.5}), Error);
  EXPECT_THROW(opposite_row("none", "walk", 2, {nan, 0.5, 0.5}), Error);
  EXPECT_TRUE(opposite_rows({"advancement"}, {"walk"}, {2}).empty());
  EXPECT_TRUE(opposite_rows({"none"}, {"gallop"}, {2}).empty());
}

// Requirement: what is left out is said, with the reason, and nothing else.
TEST(OppositeLimb, SaysWhatItLeavesOut)
{
  EXPECT_TRUE(opposite_left_out({"none", "levelling", "wedge", "suture"}, {"stand", "walk", "trot"}).empty());
  const std::vector<std::string> said = opposite_left_out({"none", "advancement"}, {"gallop", "walk"});
  ASSERT_EQ(said.size(), 2u);
  EXPECT_NE(said[0].find("advancement: no source"), std::string::npos) << said[0];
  EXPECT_NE(said[1].find("gallop: no source"), std::string::npos) << said[1];
}

// Requirement: repair outermost, then activity as listed, week rising.
TEST(OppositeLimb, ListsItsRowsInOrder)
{
  std::string order;
  for (const OppositeRow &row : opposite_rows({"none", "levelling"}, {"trot", "walk"}, {4, 2}))
    order += row.repair + ' ' + row.activity + (row.week == 2 ? " 2, " : " 4, ");
  EXPECT_EQ(order, "none trot 2, none trot 4, none walk 2, none walk 4, levelling trot 2, levelling trot 4, levelling walk 2, "
                   "levelling walk 4, ");
}
