// models/study/sensitivity.h - how much of the spread of a result each input carries
//   first order  Saltelli et al., Comput Phys Commun 2010;181:259 (memory): V_i = mean of f(B) (f(A_B^i) - f(A)); the mean of all
//                f is taken off f(B) first, which leaves the expected value and lowers the scatter
//   total        Jansen, Comput Phys Commun 1999;117:35 (memory): E_i = mean of (f(A) - f(A_B^i))^2 / 2
//   both over the variance of f(A) and f(B) together. A, B: n independent points; A_B^i: A with the coordinate i of B.
//   limits  inputs must be independent; estimates scatter, and a small index may come out below 0
#pragma once
#include <string>
#include <vector>

namespace stifle
{
struct SobolIndices
{
  std::vector<double> first_order, total; ///< an input each; empty when the result does not vary or fewer than 2 samples are left
  std::vector<double> first_order_error, total_error; ///< standard errors as if the points were random: a bound for Sobol points
  std::size_t used = 0, failed = 0;                   ///< base samples; a sample fails when any of its values is NaN
};

/// f_a, f_b: [sample]; f_ab: [input][sample]. NaN marks a value that could not be computed: the whole base sample is left out.
/// Throws Error when the sizes differ.
SobolIndices sobol_indices(const std::vector<double> &f_a, const std::vector<double> &f_b,
                           const std::vector<std::vector<double>> &f_ab);

/// A with column `input` of B.
std::vector<double> swapped(const std::vector<double> &a, const std::vector<double> &b, std::size_t input);
} // namespace stifle
