// solver/peak_rows.h - what the rows of a state recovered at all entries have beside their peaks: error estimates and yielded volume
#pragma once
#include "solver/elasticity.h"
#include "solver/results.h"

namespace stifle::solver
{
struct PeakRow
{
  PartPeak row;
  unsigned part = 0, entry = 0; ///< index of the part, entry of its peak
};

/// Cells around some entries, found in one pass over the mesh.
class CellsAround
{
public:
  CellsAround(const std::vector<std::array<unsigned, 10>> &of_cell, std::size_t n_entries, const std::vector<unsigned> &entries);
  const std::vector<std::size_t> &of(unsigned entry) const { return cells_[slot_[entry]]; }

private:
  std::vector<int>                      slot_; ///< per entry, -1: not asked for
  std::vector<std::vector<std::size_t>> cells_;
};

/// Error estimate at a peak, %: root of the mean energy density of the errors of `cells` over `energy` (MPa), that at the peak.
template <class Error> double error_percent(const Elasticity &elasticity, const std::vector<std::size_t> &cells, double energy, const Error &error)
{
  double sum = 0, volume = 0;
  for (const std::size_t c : cells)
  {
    sum += elasticity.volume(c) * error(c);
    volume += elasticity.volume(c);
  }
  return energy > 0 ? 100 * std::sqrt(sum / volume / energy) : 0;
}

/// Share of a cell's volume whose own stress lies above `yield` (MPa): the quadrature points that do.
double yielded_share(const CornerStress &own, double yield);
} // namespace stifle::solver
