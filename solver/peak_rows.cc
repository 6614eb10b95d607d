#include "solver/peak_rows.h"
#include "solver/reference_element.h"

namespace stifle::solver
{
CellsAround::CellsAround(const std::vector<std::array<unsigned, 10>> &of_cell, std::size_t n_entries, const std::vector<unsigned> &entries)
  : slot_(n_entries, -1)
{
  for (const unsigned e : entries)
    if (slot_[e] < 0)
    {
      slot_[e] = static_cast<int>(cells_.size());
      cells_.emplace_back();
    }
  for (std::size_t c = 0; c < of_cell.size(); ++c)
    for (const unsigned e : of_cell[c])
      if (slot_[e] >= 0)
        cells_[slot_[e]].push_back(c);
}

double yielded_share(const CornerStress &own, double yield)
{
  double highest = 0; // von Mises is convex: no point inside lies above the corners
  for (const std::array<double, 6> &corner : own)
    highest = std::max(highest, von_mises(corner));
  double share = 0;
  if (!(yield > 0) || highest <= yield)
    return share;
  for (const TetrahedronPoint &q : reference_element().stiffness_points)
  {
    std::array<double, 6> s{};
    for (int i = 0; i < 4; ++i)
      for (int k = 0; k < 6; ++k)
        s[k] += q.barycentric(i) * own[i][k];
    if (von_mises(s) > yield)
      share += q.weight;
  }
  return share;
}
} // namespace stifle::solver
