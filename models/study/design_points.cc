#include "models/study/design_points.h"
#include "models/core/error.h"
#include <algorithm>
#include <boost/random/sobol.hpp>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <random>

namespace stifle
{
namespace
{
constexpr int bits = 53; ///< of a double

void check_dimension(std::size_t dimension)
{
  if (dimension == 0 || dimension > 3667)
    throw Error(fmt::format("a Sobol sequence of {} coordinates; allowed: 1 to 3667", dimension));
}

std::vector<std::vector<std::uint64_t>> sobol_bits(std::size_t number, std::size_t dimension)
{
  check_dimension(dimension);
  std::vector<std::vector<std::uint64_t>> all(number, std::vector<std::uint64_t>(dimension, 0));
  boost::random::sobol engine(dimension);
  for (std::size_t i = 1; i < number; ++i)
    for (std::uint64_t &coordinate : all[i])
      coordinate = engine();
  return all;
}

double fraction(std::uint64_t word) { return std::ldexp(static_cast<double>(word >> (64 - bits)), -bits); }

/// Inside (0, 1): the middle of the cell of the last bit.
double inside(std::uint64_t word) { return std::min(fraction(word) + std::ldexp(0.5, -bits), 1 - std::ldexp(1.0, -bits)); }

Points shifted_sobol(std::size_t number, std::size_t dimension, std::mt19937_64 &random)
{
  std::vector<std::uint64_t> shift(dimension);
  for (std::uint64_t &word : shift)
    word = random();
  Points points;
  for (const auto &row : sobol_bits(number, dimension))
  {
    points.emplace_back(dimension);
    for (std::size_t i = 0; i < dimension; ++i)
      points.back()[i] = inside(row[i] ^ shift[i]);
  }
  return points;
}

/// Fisher and Yates; the remainder of a 64-bit word by less than 2^17 is even to 1e-14.
std::vector<std::size_t> shuffled(std::size_t number, std::mt19937_64 &random)
{
  std::vector<std::size_t> order(number);
  std::iota(order.begin(), order.end(), 0);
  for (std::size_t i = number; i > 1; --i)
    std::swap(order[i - 1], order[random() % i]);
  return order;
}

Points latin_hypercube(std::size_t number, std::size_t dimension, std::mt19937_64 &random)
{
  Points points(number, std::vector<double>(dimension));
  for (std::size_t i = 0; i < dimension; ++i)
  {
    const std::vector<std::size_t> slice = shuffled(number, random);
    for (std::size_t j = 0; j < number; ++j)
      points[j][i] = (static_cast<double>(slice[j]) + inside(random())) / static_cast<double>(number);
  }
  return points;
}
} // namespace

Design design(const std::string &name)
{
  if (name == "sobol")
    return Design::sobol;
  if (name == "latin_hypercube")
    return Design::latin_hypercube;
  throw Error(fmt::format("unknown design '{}'; known: sobol, latin_hypercube", name));
}

std::vector<double> sobol_point(std::size_t index, std::size_t dimension, std::uint64_t seed)
{
  check_dimension(dimension);
  std::mt19937_64       random(seed); // the shift of shifted_sobol
  boost::random::sobol  engine(dimension);
  if (index > 1)
    engine.discard((index - 1) * dimension);
  std::vector<double> point(dimension);
  for (double &coordinate : point)
  {
    const std::uint64_t shift = random();
    coordinate                = inside((index > 0 ? engine() : 0) ^ shift);
  }
  return point;
}

Points plain_sobol_points(std::size_t number, std::size_t dimension)
{
  Points points;
  for (const auto &row : sobol_bits(number, dimension))
  {
    points.emplace_back();
    for (const std::uint64_t word : row)
      points.back().push_back(fraction(word));
  }
  return points;
}

Points design_points(Design design, std::size_t number, std::size_t dimension, std::uint64_t seed)
{
  std::mt19937_64 random(seed);
  return design == Design::sobol ? shifted_sobol(number, dimension, random) : latin_hypercube(number, dimension, random);
}
} // namespace stifle
