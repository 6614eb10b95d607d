// Requirements of the Sobol indices: functions with closed forms, errors that fall, samples that fail.
#include "models/core/error.h"
#include "models/core/units.h"
#include "models/study/design_points.h"
#include "models/study/sensitivity.h"
#include <functional>
#include <gtest/gtest.h>
#include <limits>

using namespace stifle;

namespace
{
using Function = std::function<double(const std::vector<double> &)>;

SobolIndices indices(const Function &f, std::size_t k, std::size_t n, std::uint64_t seed = 1)
{
  std::vector<double> f_a, f_b;
  std::vector<std::vector<double>> f_ab(k);
  for (const auto &p : design_points(Design::sobol, n, 2 * k, seed))
  {
    const std::vector<double> a(p.begin(), p.begin() + k), b(p.begin() + k, p.end());
    f_a.push_back(f(a));
    f_b.push_back(f(b));
    for (std::size_t i = 0; i < k; ++i)
      f_ab[i].push_back(f(swapped(a, b, i)));
  }
  return sobol_indices(f_a, f_b, f_ab);
}

void expect_near(const std::vector<double> &found, const std::vector<double> &expected, double tolerance)
{
  ASSERT_EQ(found.size(), expected.size());
  for (std::size_t i = 0; i < found.size(); ++i)
    EXPECT_NEAR(found[i], expected[i], tolerance) << i;
}

// Ishigami: sin x1 + a sin^2 x2 + b x3^4 sin x1, x in (-pi, pi). Parts of the variance by integration by hand:
// V1 = (1 + b pi^4 / 5)^2 / 2, V2 = a^2 / 8, V13 = 8 b^2 pi^8 / 225, others 0.
constexpr double a = 7, b = 0.1;
double ishigami(const std::vector<double> &u)
{
  const auto x = [&](int i) { return (2 * u[i] - 1) * pi; };
  return std::sin(x(0)) + a * std::pow(std::sin(x(1)), 2) + b * std::pow(x(2), 4) * std::sin(x(0));
}
const double v1 = std::pow(1 + b * std::pow(pi, 4) / 5, 2) / 2, v2 = a * a / 8, v13 = 8 * b * b * std::pow(pi, 8) / 225;
const double v = v1 + v2 + v13;
const std::vector<double> ishigami_first = {v1 / v, v2 / v, 0}, ishigami_total = {(v1 + v13) / v, v2 / v, v13 / v};

double ishigami_error(std::size_t n)
{
  double sum = 0;
  for (std::uint64_t seed = 1; seed <= 16; ++seed)
  {
    const SobolIndices s = indices(ishigami, 3, n, seed);
    for (int i = 0; i < 3; ++i)
      sum += std::pow(s.first_order[i] - ishigami_first[i], 2) + std::pow(s.total[i] - ishigami_total[i], 2);
  }
  return std::sqrt(sum / 96);
}
} // namespace

// Requirement: the Ishigami function; the closed form above gives the known 0.3139, 0.4424, 0 and 0.5576, 0.4424, 0.2437.
TEST(SobolIndices, MeetTheIshigamiFunction)
{
  expect_near(ishigami_first, {0.3139, 0.4424, 0}, 5e-5);
  expect_near(ishigami_total, {0.5576, 0.4424, 0.2437}, 5e-5);
  const SobolIndices s = indices(ishigami, 3, 8192);
  expect_near(s.first_order, ishigami_first, 0.01);
  expect_near(s.total, ishigami_total, 0.01);
}

// Requirement: the g-function of Sobol, prod (|4 x - 2| + a) / (1 + a). By hand: V_i = 1 / 3 / (1 + a_i)^2,
// V = prod (1 + V_i) - 1, first order V_i / V, total V_i prod over the others (1 + V_j) / V.
TEST(SobolIndices, MeetTheGFunction)
{
  const std::vector<double> weight = {0, 1, 4.5, 9, 99, 99};
  const auto g = [&](const std::vector<double> &x)
  {
    double product = 1;
    for (std::size_t i = 0; i < x.size(); ++i)
      product *= (std::abs(4 * x[i] - 2) + weight[i]) / (1 + weight[i]);
    return product;
  };
  double product = 1;
  for (const double w : weight)
    product *= 1 + 1 / (3 * (1 + w) * (1 + w));
  std::vector<double> first, total;
  for (const double w : weight)
  {
    const double part = 1 / (3 * (1 + w) * (1 + w));
    first.push_back(part / (product - 1));
    total.push_back(part * product / (1 + part) / (product - 1));
  }
  const SobolIndices s = indices(g, 6, 8192);
  expect_near(s.first_order, first, 0.01);
  expect_near(s.total, total, 0.01);
}

// Requirement: in a sum, first order and total agree and are c^2 / sum c^2; an offset of 1e6 changes nothing (law).
TEST(SobolIndices, OfASumAreItsSquares)
{
  const std::vector<double> expected = {1.0 / 14, 4.0 / 14, 9.0 / 14, 0};
  for (const double offset : {0.0, 1e6})
  {
    const SobolIndices s = indices([=](const std::vector<double> &x) { return offset + x[0] - 2 * x[1] + 3 * x[2]; }, 4, 4096);
    expect_near(s.first_order, expected, 0.01);
    expect_near(s.total, expected, 0.01);
    EXPECT_EQ(s.total[3], 0); // an input without effect: exactly none
  }
}

// Requirement: the error falls with the number of samples at least as fast as random points would (law: order 1/2), and is
// below 0.003 with 4096.
TEST(SobolIndices, ErrorFallsWithTheSamples)
{
  const double coarse = ishigami_error(64), fine = ishigami_error(4096);
  EXPECT_GT(std::log(coarse / fine) / std::log(64.0), 0.5);
  EXPECT_LT(fine, 0.003);
}

// Requirement: the standard error is that of random points. Law: over 200 random designs (Latin cells drawn one point each) the
// indices scatter by it, within a quarter.
TEST(SobolIndices, StandardErrorIsTheScatterOfRandomPoints)
{
  const std::size_t n = 100, k = 2, repeats = 400;
  double stated = 0, sum = 0, squares = 0;
  for (std::uint64_t r = 0; r < repeats; ++r)
  {
    std::vector<double> f_a, f_b;
    std::vector<std::vector<double>> f_ab(k);
    for (std::size_t j = 0; j < n; ++j)
    {
      const std::vector<double> p = design_points(Design::latin_hypercube, 1, 2 * k, 1 + r * n + j)[0];
      const auto f = [](double x, double y) { return x + 2 * y; };
      f_a.push_back(f(p[0], p[1]));
      f_b.push_back(f(p[2], p[3]));
      f_ab[0].push_back(f(p[2], p[1]));
      f_ab[1].push_back(f(p[0], p[3]));
    }
    const SobolIndices s = sobol_indices(f_a, f_b, f_ab);
    stated += s.first_order_error[0] / repeats;
    sum += s.first_order[0] / repeats;
    squares += s.first_order[0] * s.first_order[0] / repeats;
  }
  EXPECT_NEAR(std::sqrt(squares - sum * sum) / stated, 1, 0.25);
  EXPECT_NEAR(sum, 0.2, 4 * stated / std::sqrt(double(repeats))); // 1 / (1 + 4)
}

// Requirement: a sample with a missing value is left out as a whole and counted; the rest gives the same indices as without it.
TEST(SobolIndices, CountFailedSamples)
{
  const double missing = std::numeric_limits<double>::quiet_NaN();
  const SobolIndices with = sobol_indices({1, 2, 4, 5}, {3, 1, 2, 9}, {{1, 5, missing, 3}, {3, 3, 3, 3}});
  const SobolIndices without = sobol_indices({1, 2, 5}, {3, 1, 9}, {{1, 5, 3}, {3, 3, 3}});
  EXPECT_EQ(with.used, 3u);
  EXPECT_EQ(with.failed, 1u);
  EXPECT_EQ(with.first_order, without.first_order);
  EXPECT_EQ(with.total, without.total);
}

// Requirement: nothing is told when the result does not vary or too few samples are left; unequal blocks are an error.
TEST(SobolIndices, StaySilentWithoutVariance)
{
  EXPECT_TRUE(sobol_indices({2, 2, 2}, {2, 2, 2}, {{2, 2, 2}}).total.empty());
  EXPECT_TRUE(sobol_indices({1}, {2}, {{1}}).total.empty());
  EXPECT_TRUE(sobol_indices({}, {}, {}).total.empty());
  EXPECT_THROW(sobol_indices({1, 2}, {1}, {{1, 2}}), Error);
}

// Requirement: hand calculation of both estimators. A: 1, 3; B: 2, 6; A with B's input: 2, 5. Mean 3, variance (4 + 1 + 0 + 9) /
// 4 = 3.5. First order: ((2 - 3)(2 - 1) + (6 - 3)(5 - 3)) / 2 / 3.5 = 2.5 / 3.5. Total: (1 + 4) / 2 / 2 / 3.5 = 1.25 / 3.5.
TEST(SobolIndices, FollowTheFormulas)
{
  const SobolIndices s = sobol_indices({1, 3}, {2, 6}, {{2, 5}});
  EXPECT_NEAR(s.first_order.at(0), 2.5 / 3.5, 1e-14);
  EXPECT_NEAR(s.total.at(0), 1.25 / 3.5, 1e-14);
}
