// solver/construct_results.h - table rows of one load state: peaks per part, drift of the plateau, section forces of the screws
//   hot spots  nodes near an excluded line of the mesh (rims of tied holes, thread ends, border of the cut) do not count as the
//              peak of their part: within 1 mm in plate and screws, within 3 mm (one bone element) in bone, where the
//              value still grows with every element towards the line. A larger value there gets a row of its own with
//              excluded = true, so nothing is dropped
#pragma once
#include "mesh/construct.h"
#include "solver/elasticity.h"
#include "solver/results.h"

namespace stifle::solver
{
constexpr double excluded_distance_mm      = 1.0; ///< plate and screws
constexpr double excluded_bone_distance_mm = 3.0; ///< cortex and cancellous bone

class PeakTable
{
public:
  /// `yield_mpa` per part, 0 when not known. Both are borrowed.
  PeakTable(const Elasticity &elasticity, std::vector<double> yield_mpa);
  std::vector<PartPeak> rows(const RecoveredStress &stress, const Vector &u) const;
  bool                  excluded(unsigned node, unsigned part) const;

private:
  void add_yielded_volume(const Vector &u, std::vector<double> &volume) const;
  const Elasticity   &elasticity_;
  std::vector<double> yield_mpa_;
  std::vector<char>   near_metal_, near_bone_; ///< per node
};

/// Mediolateral component of the best-fit rigid rotation (volume weighted least squares) of component 0 against
/// component 1, degrees; positive = the plateau slope rises (its caudal end goes down).
double plateau_drift_deg(const Elasticity &elasticity, const Vector &u);

/// Section forces at the bone entry: what the plate side does to the screw part inside the bone, from the thread forces.
std::vector<ScrewResult> screw_results(const mesh::ConstructMesh &construct, const Elasticity &elasticity, const Vector &thread_force);
} // namespace stifle::solver
