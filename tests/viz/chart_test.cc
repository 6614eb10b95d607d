// Requirements of the arithmetic behind curves and bars; expected values by hand.
#include "viz/bars.h"
#include "viz/construct_view.h"
#include "viz/margin_words.h"
#include "viz/series.h"
#include "viz/stack.h"
#include "viz/table_rows.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

using namespace stifle::viz;

namespace
{
SeriesPoint at(double x, double y) { return {x, y, {}, {}}; }
SeriesPoint banded(double x, double y) { return {x, y, y - 1, y + 1}; }
} // namespace

// Requirement: the neutral slope lies on the straight line between the neighbours; the steepest rise counts.
TEST(RisingZeros, LieBetweenTheirNeighbours)
{
  EXPECT_NEAR(*rising_zero({at(0, -10), at(10, 30)}), 2.5, 1e-12); // 10 * 10 / 40
  EXPECT_NEAR(*rising_zero({at(0, -1), at(1, 1), at(2, -1), at(4, 1)}), 3, 1e-12);
  EXPECT_FALSE(rising_zero({at(0, 3), at(10, -3)}));
  EXPECT_FALSE(rising_zero({at(0, 3), at(10, 5)}));
  EXPECT_FALSE(rising_zero({}));
}

// Requirement: a band is shaded only between neighbours that both have one.
TEST(BandPieces, BreakWhereABandIsMissing)
{
  const std::vector<SeriesPoint> points{banded(0, 1), banded(1, 1), at(2, 1), banded(3, 1), at(4, 1)};
  const std::vector<std::pair<std::size_t, std::size_t>> expected{{0, 1}, {3, 3}};
  EXPECT_EQ(band_pieces(points), expected);
  EXPECT_TRUE(band_pieces({at(0, 1)}).empty());
}

// Requirement: the axes hold the bands, not the lines alone.
TEST(SeriesAxes, HoldBandsAndZero)
{
  const Axes axes = series_axes({0, 0}, {100, 100}, {{"a", {{0, 40, -12.0, 93.0}, {10, 50, {}, {}}}, ""}});
  EXPECT_LE(axes.y_min(), -12);
  EXPECT_GE(axes.y_max(), 93);
  EXPECT_NEAR(axes.place(axes.x_min(), axes.y_max()).y(), 100, 1e-9);
}

// Requirement: bars of a group touch, groups are a quarter of their width apart, all lie inside the axes.
TEST(BarPlaces, ShareTheWidth)
{
  const auto places = bar_places(100, 500, 2, 2); // a group takes 200: 25 free, two bars of 75, 25 free
  EXPECT_NEAR(places[0][0].left, 125, 1e-9);
  EXPECT_NEAR(places[0][0].right, 200, 1e-9);
  EXPECT_NEAR(places[0][1].left, 200, 1e-9);
  EXPECT_NEAR(places[0][1].right, 275, 1e-9);
  EXPECT_NEAR(places[1][0].left, 325, 1e-9);
  EXPECT_NEAR(places[1][1].right, 475, 1e-9);
}

// Requirement: the axis holds zero and every value, with 12 % of the range free for the numbers.
TEST(BarRanges, HoldZeroAndEveryValue)
{
  BarChart bars;
  bars.values = {{4.0}, {std::nullopt}};
  EXPECT_NEAR(bar_range(bars).first, 0, 1e-12);
  EXPECT_NEAR(bar_range(bars).second, 4.48, 1e-12);
  bars.values = {{-2.0}, {8.0}};
  EXPECT_NEAR(bar_range(bars).first, -3.2, 1e-12); // 0.12 * 10 below -2
  EXPECT_NEAR(bar_range(bars).second, 9.2, 1e-12);
  bars.values = {{std::nullopt}};
  EXPECT_LT(bar_range(bars).first, bar_range(bars).second);
}

// Requirement: rows are chosen by words and by the nearest number; rows without that number are never chosen.
TEST(TableRows, AreChosenByWordsAndNearestNumber)
{
  const std::string file = (std::filesystem::temp_directory_path() / "stifle_viz_table.csv").string();
  std::ofstream(file) << "test,angle_deg\ndrawer,110\ndrawer,\nrotation,140\ndrawer,150\ndrawer,150\n";
  const TableRows rows(file);
  const auto drawers = rows.where({{"test", "drawer"}});
  EXPECT_EQ(drawers.size(), 4u);
  EXPECT_EQ(rows.nearest(drawers, "angle_deg", 140), (std::vector<std::size_t>{3, 4}));
  EXPECT_EQ(rows.nearest(drawers, "angle_deg", 90), (std::vector<std::size_t>{0}));
  EXPECT_TRUE(rows.nearest({1}, "angle_deg", 90).empty());
  EXPECT_EQ(rows.where({{"test", ""}}).size(), 5u);
  EXPECT_TRUE(rows.has("test"));
  EXPECT_FALSE(rows.has("repair"));
}

// Requirement: logarithmic ticks are 1, 2, 5 times powers of ten around the range; powers of ten alone over more than four decades.
TEST(LogTicks, EncloseTheRange)
{
  EXPECT_EQ(log_ticks(0.8, 15), (std::vector<double>{0.5, 1, 2, 5, 10, 20}));
  EXPECT_EQ(log_ticks(1, 10), (std::vector<double>{1, 2, 5, 10}));
  const auto wide = log_ticks(0.03, 900);
  ASSERT_EQ(wide.size(), 6u); // 0.01 to 1000
  EXPECT_NEAR(wide.front(), 0.01, 1e-12);
  EXPECT_NEAR(wide.back(), 1000, 1e-9);
  EXPECT_GE(log_ticks(2, 2).size(), 2u);
}

// Requirement: equal factors are equal heights; what lies below the axis is drawn on it.
TEST(LogHeights, RiseByFactors)
{
  const Axes axes = Axes::with_log_heights({0, 0}, {100, 100}, 0, 10, 1, 100);
  EXPECT_NEAR(axes.place(0, 10).y(), 50, 1e-9);
  EXPECT_NEAR(axes.place(0, 100).y(), 100, 1e-9);
  EXPECT_NEAR(axes.place(0, -3).y(), 0, 1e-9);
}

// Requirement: round numbers around a value; 1, 1.5, 2, 3, 4, 5, 6, 8 upwards and 1, 2, 5 downwards.
TEST(RoundNumbers, LieNextToTheValue)
{
  EXPECT_NEAR(round_up(2.3), 3, 1e-12);
  EXPECT_NEAR(round_up(0.81), 1, 1e-12);
  EXPECT_NEAR(round_up(40), 40, 1e-12);
  EXPECT_NEAR(round_down_125(0.49), 0.2, 1e-12);
}

// Requirement: pieces of a stack end at their share of the sum. Hand: 1, 2, 5 of 8.
TEST(StackEnds, AreSharesOfTheSum)
{
  EXPECT_EQ(stack_ends({1, 2, 5}), (std::vector<double>{12.5, 37.5, 100}));
  EXPECT_EQ(stack_ends({0, 0}), (std::vector<double>{0, 0}));
}

// Requirement: a margin below 1 never reads as 1, and one far above says only that.
TEST(MarginWords, KeepTheVerdict)
{
  EXPECT_EQ(margin_words(0.996), "0.99");
  EXPECT_EQ(margin_words(1.499), "1.49");
  EXPECT_EQ(margin_words(0.29), "0.29");
  EXPECT_EQ(margin_words(1.153), "1.15");
  EXPECT_EQ(margin_words(24.7), "25");
  EXPECT_EQ(margin_words(1e24), "over 1000");
  EXPECT_EQ(margin_words(0.004), "below 0.01");
}

// Requirement: one hue, its lightness falling everywhere: it reads in grey.
TEST(Tint, FallsInLightness)
{
  for (int i = 0; i < 24; ++i)
    EXPECT_LT(lightness(tint((i + 1) / 24.0)), lightness(tint(i / 24.0)) - 1) << i;
}

// Requirement: a point lies where the eye of the view sees it. Hand: 10 mm in 100 pixels; medial view of a right limb: cranial left.
TEST(ConstructViews, ProjectAlongTheirEye)
{
  ConstructScene scene;
  scene.low = {-20, -20, -20};
  scene.high = {20, 20, 20};
  const auto at = [&](const View &view, double x, double y, double z) { return project(view, scene, 0.1, {x, y, z}); };
  const Pixel low(0, 0), high(800, 600);
  EXPECT_LT((at(medial_view(false, low, high), 10, 3, 5) - Pixel(300, 350)).norm(), 1e-9);
  EXPECT_LT((at(medial_view(true, low, high), 10, 3, 5) - Pixel(500, 350)).norm(), 1e-9);
  EXPECT_LT((at(cranial_view(false, low, high), 10, 3, 5) - Pixel(430, 350)).norm(), 1e-9);
}
