// Requirements of the design points: known Sobol points, even margins, seeds.
#include "models/core/error.h"
#include "models/study/design_points.h"
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
constexpr Design designs[] = {Design::sobol, Design::latin_hypercube};

/// How many points of a coordinate stand in each of `n` equal slices.
std::vector<int> slices(const Points &points, std::size_t coordinate, std::size_t n)
{
  std::vector<int> count(n);
  for (const auto &point : points)
    ++count[static_cast<std::size_t>(point[coordinate] * static_cast<double>(n))];
  return count;
}
} // namespace

// Requirement: the sequence is the one of Sobol in the order of Antonov and Saleev. Expected: the first points of two coordinates
// by hand, direction numbers 1/2, 1/4, 1/8 and 1/2, 3/4, 5/8, flipped along the Gray code 1, 2, 1, 3, 1, 2, 1.
TEST(DesignPoints, StartLikeTheSobolSequence)
{
  const Points expected = {{0, 0},         {0.5, 0.5},     {0.75, 0.25},   {0.25, 0.75},
                           {0.375, 0.375}, {0.875, 0.875}, {0.625, 0.125}, {0.125, 0.625}};
  EXPECT_EQ(plain_sobol_points(8, 2), expected);
}

// Requirement: with 2^m points each of 2^m slices of every coordinate holds one point (definition of a (t, m, s) net in one
// coordinate; definition of a Latin hypercube), after the shift by a seed too.
TEST(DesignPoints, FillEverySliceOnce)
{
  for (const Design d : designs)
  {
    const Points points = design_points(d, 256, 40, 7);
    for (std::size_t i = 0; i < 40; ++i)
      EXPECT_EQ(slices(points, i, 256), std::vector<int>(256, 1)) << i;
  }
}

// Requirement: a Latin hypercube has this for any number of points.
TEST(DesignPoints, LatinHypercubeNeedsNoPowerOfTwo)
{
  EXPECT_EQ(slices(design_points(Design::latin_hypercube, 100, 3, 1), 2, 100), std::vector<int>(100, 1));
}

// Requirement: the shift keeps the net in two coordinates: one of 16 points in each of 4 x 4 cells (the first two coordinates of
// Sobol's sequence form a (0, m, 2) net).
TEST(DesignPoints, ShiftKeepsTheNet)
{
  std::vector<int> cells(16);
  for (const auto &p : design_points(Design::sobol, 16, 2, 99))
    ++cells[static_cast<std::size_t>(4 * p[0]) * 4 + static_cast<std::size_t>(4 * p[1])];
  EXPECT_EQ(cells, std::vector<int>(16, 1));
}

// Requirement: the same seed gives the same points to the last bit, another seed gives others; all stay inside the open cube.
TEST(DesignPoints, DependOnTheSeedAlone)
{
  for (const Design d : designs)
  {
    const Points points = design_points(d, 100, 5, 3);
    EXPECT_EQ(points, design_points(d, 100, 5, 3));
    EXPECT_NE(points, design_points(d, 100, 5, 4));
    for (const auto &p : points)
      for (const double x : p)
        EXPECT_TRUE(x > 0 && x < 1);
  }
}

// Requirement: coordinates do not move together. Law: the sample correlation of independent coordinates is 0 +- 1 / sqrt(n);
// five of those are allowed.
TEST(DesignPoints, CoordinatesAreUncorrelated)
{
  const std::size_t n = 1024;
  for (const Design d : designs)
  {
    const Points points = design_points(d, n, 36, 1);
    for (std::size_t i = 0; i < 36; ++i)
      for (std::size_t j = 0; j < i; ++j)
      {
        double sum = 0;
        for (const auto &p : points)
          sum += (p[i] - 0.5) * (p[j] - 0.5) * 12;
        EXPECT_LT(std::abs(sum / n), 5 / std::sqrt(double(n))) << i << ' ' << j;
      }
  }
}

// Requirement: no points and one point are designs too; an unknown word or too many coordinates are named errors.
TEST(DesignPoints, RefuseWhatCannotBe)
{
  EXPECT_TRUE(design_points(Design::sobol, 0, 3, 1).empty());
  EXPECT_EQ(design_points(Design::latin_hypercube, 1, 3, 1).size(), 1u);
  EXPECT_THROW(design("halton"), Error);
  EXPECT_THROW(design_points(Design::sobol, 4, 4000, 1), Error);
}
