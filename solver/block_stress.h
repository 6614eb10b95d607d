// solver/block_stress.h - peaks of several states at once: recovered at all entries, or at candidates and the cells around them only
//   entry      a node inside one part (stress_plan.h)
//   learn      a state recovered at all entries marks candidates: entries where some cell's own value (before averaging) reaches `share`
//              of its part's recovered peak, in von Mises (an excluded one: of the larger of both peaks), or by the bounds of
//              peak_lanes.h in tension, stretch or shortening; always those that screw shafts are read at. The surface of a part is
//              not added: see `cells near the surface` in benchmarks/solver_speed/README.md
//   same       a row at candidates equals the row at all entries digit by digit unless StressRows::moved; digits depend neither on
//              the number of columns nor on their order
//   empty      at candidates PartPeak::volume_above_yield_mm3 and error_estimate_percent are 0: not worked out
//   guard      every other cell's own values bound what was not recovered (guard_lanes.h). Proof, not chance; it may name a state
//              whose rows are right. With it rows at candidates cost 0.8 of rows at all entries (benchmarks/solver_speed/README.md)
#pragma once
#include "solver/construct_results.h"
#include "solver/screw_shaft.h"
#include <memory>

namespace stifle::solver
{
using Columns = Eigen::Ref<const Eigen::MatrixXd>; ///< 3 per node, one state a column

constexpr double candidate_share = 0.8;

struct StressRows ///< of one state
{
  std::vector<PartPeak>   peaks;
  std::vector<ScrewShaft> shafts;
  /// At candidates: an entry that is none could hold a peak, so recover this state at all entries. False of rows at all entries.
  bool moved = false;
};

class BlockStress
{
public:
  /// All are borrowed. Prepares the geometry once (about 250 bytes a cell).
  BlockStress(const Elasticity &elasticity, const PeakTable &peaks, const ScrewShafts &shafts);
  ~BlockStress();

  /// At all entries. `displacement` in mm, `threads`: nodal thread forces on the elements (N), for the beam beside each shaft.
  std::vector<StressRows> rows(const Columns &displacement, const Columns &threads) const;
  /// The same, and the states' candidates are added to those learnt before.
  std::vector<StressRows> learn(const Columns &displacement, const Columns &threads, double share = candidate_share);
  /// Throws Error when nothing has been learnt. const members may run in several threads at once, learn() alone.
  std::vector<StressRows> rows_at_candidates(const Columns &displacement, const Columns &threads) const;

  void   forget();                ///< all candidates
  bool   has_candidates() const;
  double candidate_cells() const; ///< share of the cells that rows_at_candidates works on, 0 to 1

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};
} // namespace stifle::solver
