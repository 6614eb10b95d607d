// solver/construct_results.h - table rows of one load state: peaks per part, drift of the plateau, section forces of the screws
//   hot spots  nodes near an excluded line of the mesh (rims of tied holes, thread ends, border of the cut) do not count as the
//              peak of their part: within 1 mm in plate and screws, within 3 mm (one bone element) in bone, where the
//              value still grows with every element towards the line. A larger value there gets a row of its own with
//              excluded = true, so nothing is dropped
#pragma once
#include "mesh/construct.h"
#include "solver/cut_faces.h"
#include "solver/peak_rows.h"

namespace stifle::solver
{
constexpr double excluded_distance_mm      = 1.0; ///< plate and screws
constexpr double excluded_bone_distance_mm = 3.0; ///< cortex and cancellous bone

struct EntryGroups;
struct Extremes;

class PeakTable
{
public:
  /// `yield_mpa` per part, 0 when not known. Both are borrowed.
  PeakTable(const Elasticity &elasticity, std::vector<double> yield_mpa);
  std::vector<PartPeak> rows(const RecoveredStress &stress) const;
  bool                  excluded(unsigned node, unsigned part) const;

  double                   yield_mpa(unsigned part) const { return yield_mpa_[part]; }
  const IsotropicMaterial &material(unsigned part) const { return material_[part]; } ///< of a cell of the part, where they differ
  /// Kept and excluded entries of each part; `node` and `part` per entry.
  EntryGroups groups(const std::vector<unsigned> &node, const std::vector<unsigned> &part) const;
  /// Rows of one state, without volume above yield and error estimate.
  std::vector<PeakRow> peak_rows(const std::vector<Extremes> &parts, const std::vector<unsigned> &node) const;

private:
  const Elasticity              &elasticity_;
  std::vector<double>            yield_mpa_;
  std::vector<IsotropicMaterial> material_;
  std::vector<char>              near_metal_, near_bone_; ///< per node
};

/// Best-fit rigid rotations (volume weighted least squares) of the two segments, as moments of the shape functions taken once.
class SegmentTurn
{
public:
  explicit SegmentTurn(const Elasticity &elasticity);
  /// Small rotation vector (rad) of component 0 or 1; zero for one that the mesh does not have.
  Vector3 rotation(const Vector &u, unsigned component) const;
  /// Mediolateral component of component 0 against component 1, degrees; positive = the plateau slope rises (its caudal
  /// end goes down).
  double plateau_drift_deg(const Vector &u) const;

private:
  void                  measure(const Elasticity &elasticity, unsigned component);
  std::vector<unsigned> node_[2];
  std::vector<Vector3>  arm_[2]; ///< integral of shape function times (place - centre), mm^4
  Matrix3               inertia_[2];
};

/// Mediolateral turn of the proximal against the distal face of the cut, degrees, sign as plateau_drift_deg: best fit of the
/// jump w over the area. No strain of bone is in it.
double cut_turn_deg(const CutFaces &cut, const std::vector<Vector3> &nodes, const Vector &w);

/// Section forces at the bone entry: what the plate side does to the screw part inside the bone, from the thread forces.
class ScrewSections
{
public:
  ScrewSections(const mesh::ConstructMesh &construct, const Elasticity &elasticity);
  std::vector<ScrewResult> results(const Vector &thread_force) const;

private:
  const mesh::ConstructMesh         &construct_;
  const Elasticity                  &elasticity_;
  std::vector<std::vector<unsigned>> nodes_; ///< in the thread of each screw
};
} // namespace stifle::solver
