// models/study/design_points.h - points of the unit cube at which the uncertain inputs are drawn
//   sobol            Sobol sequence of Boost.Random (tables of Joe and Kuo, as its documentation says) with the point 0 put
//                    first, so that the first 2^m points form a net, then a random digital shift from the seed: every bit of a
//                    coordinate is flipped or not, the same for all points (keeps the net)
//   latin_hypercube  one point in each of n equal slices of every coordinate, slices paired at random from the seed
//   digits           a function of number, dimension and seed only
#pragma once
#include <cstdint>
#include <string>
#include <vector>

namespace stifle
{
using Points = std::vector<std::vector<double>>; ///< [point][coordinate], every coordinate inside (0, 1)

enum class Design
{
  sobol,
  latin_hypercube
};
Design design(const std::string &name); ///< throws Error for another name

/// Throws Error when `dimension` is above the 3667 of Boost's tables.
Points design_points(Design design, std::size_t number, std::size_t dimension, std::uint64_t seed);
/// Point `index` (from 0) of the design sobol alone, whatever the number of points: no other is made.
std::vector<double> sobol_point(std::size_t index, std::size_t dimension, std::uint64_t seed);
/// The Sobol points without shift: 0, then 0.5, 0.75, ...
Points plain_sobol_points(std::size_t number, std::size_t dimension);
} // namespace stifle
