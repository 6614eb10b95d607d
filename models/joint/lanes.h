// models/joint/lanes.h - W numbers side by side, so that plain SSE2 works on several springs at once
//   digits   those of a lane do not depend on W nor on its neighbours: the same operations in the same order, no fused multiply-add.
//            Sums over lanes are taken lane by lane first, so their last digits depend on W
#pragma once
#include <Eigen/Dense>
#include <algorithm>

namespace stifle
{
template <int W> using Lanes = Eigen::Array<double, W, 1>;
constexpr int springs_at_once = 4; ///< of the beds
using SpringLanes             = Lanes<springs_at_once>;

// What formulas need that are written once for a double and for lanes.
inline double at_least(double x, double least) { return std::max(least, x); }
template <int W> Lanes<W> at_least(const Lanes<W> &x, double least) { return x.max(least); }
inline double total(double x) { return x; }
template <int W> double total(const Lanes<W> &x) { return x.sum(); }
} // namespace stifle
