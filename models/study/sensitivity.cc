#include "models/study/sensitivity.h"
#include "models/core/error.h"
#include <cmath>

namespace stifle
{
namespace
{
struct MeanAndError
{
  double mean = 0, error = 0;
};

MeanAndError mean_and_error(const std::vector<double> &values)
{
  const double n = static_cast<double>(values.size());
  double sum = 0, squares = 0;
  for (const double v : values)
    sum += v;
  const double mean = sum / n;
  for (const double v : values)
    squares += (v - mean) * (v - mean);
  return {mean, std::sqrt(squares / (n - 1) / n)};
}

std::vector<std::size_t> complete_samples(const std::vector<double> &f_a, const std::vector<double> &f_b,
                                          const std::vector<std::vector<double>> &f_ab)
{
  std::vector<std::size_t> kept;
  for (std::size_t j = 0; j < f_a.size(); ++j)
  {
    bool complete = std::isfinite(f_a[j]) && std::isfinite(f_b[j]);
    for (const std::vector<double> &f : f_ab)
      complete = complete && std::isfinite(f[j]);
    if (complete)
      kept.push_back(j);
  }
  return kept;
}

void require_sizes(const std::vector<double> &f_a, const std::vector<double> &f_b, const std::vector<std::vector<double>> &f_ab)
{
  bool equal = f_a.size() == f_b.size();
  for (const std::vector<double> &f : f_ab)
    equal = equal && f.size() == f_a.size();
  if (!equal)
    throw Error("sobol_indices: A, B and the swapped samples differ in number");
}
} // namespace

SobolIndices sobol_indices(const std::vector<double> &f_a, const std::vector<double> &f_b,
                           const std::vector<std::vector<double>> &f_ab)
{
  require_sizes(f_a, f_b, f_ab);
  const std::vector<std::size_t> kept = complete_samples(f_a, f_b, f_ab);
  SobolIndices indices;
  indices.used = kept.size();
  indices.failed = f_a.size() - kept.size();
  if (kept.size() < 2)
    return indices;
  std::vector<double> both;
  for (const std::size_t j : kept)
    both.insert(both.end(), {f_a[j], f_b[j]});
  const double mean = mean_and_error(both).mean;
  for (double &v : both)
    v = (v - mean) * (v - mean);
  const double variance = mean_and_error(both).mean;
  if (!(variance > 1e-24 * (1 + mean * mean)))
    return indices;
  for (const std::vector<double> &f : f_ab)
  {
    std::vector<double> first, total;
    for (const std::size_t j : kept)
    {
      first.push_back((f_b[j] - mean) * (f[j] - f_a[j]) / variance);
      total.push_back((f_a[j] - f[j]) * (f_a[j] - f[j]) / 2 / variance);
    }
    const MeanAndError a = mean_and_error(first), b = mean_and_error(total);
    indices.first_order.push_back(a.mean);
    indices.first_order_error.push_back(a.error);
    indices.total.push_back(b.mean);
    indices.total_error.push_back(b.error);
  }
  return indices;
}

std::vector<double> swapped(const std::vector<double> &a, const std::vector<double> &b, std::size_t input)
{
  std::vector<double> point = a;
  point.at(input) = b.at(input);
  return point;
}
} // namespace stifle
