// solver/plastic_construct.h - a construct pushed until it collapses: plate and screws flow (J2), bone by a stated rule
//   load    all forces times one factor; the reaction at the talar patch balances them, as in ConstructModel
//   cut     contact with friction and callus, bonded, or `open`: a gap that never closes. The contact law is inside Newton,
//           nothing is frozen; friction is in total form as in cut_faces.h
//   bone    elastic, or flowing flat at its yield strength (tension's, so on the safe side in compression). In both cases the
//           share of the cortex past its yield strains is reported, and the factor where it passes `bone_share` (assumption)
//   errors  Error: part without material, no surface `talar`, what check_push refuses
//   limits  small strain; the thread layer stays elastic, so screws neither pull out nor strip
#pragma once
#include "solver/plastic_solve.h"

namespace stifle::solver
{
/// Elongation at break of a metal of materials.yaml (construct.md section 6: steels read, titanium memory). Throws Error.
double elongation_at_break(const std::string &material);

constexpr double bone_yield_strain_tension = 0.007;     ///< construct.md section 6, memory
constexpr double bone_yield_strain_compression = 0.010; ///< the same
constexpr int push_iterations = 150; ///< bound of a push (PlasticOptions::most_iterations)
constexpr double bone_share = 0.02; ///< of one segment's cortex past these strains counts as broken bone (assumption)

/// Principal strain over its yield strain, the worse of tension and compression; linear in `u` (per node).
double bone_yield_use(const Elasticity &elasticity, const Vector &u, std::size_t cell, const Eigen::Vector4d &barycentric);
/// That of the cortex at the quadrature points, taken once for any multiple of the displacement.
class BoneUse
{
public:
  BoneUse(const Elasticity &elasticity, const Vector &displacement);
  /// Percent of the cortex past its yield strains at `factor` times the displacement, of the worse segment.
  double past_yield_percent(double factor = 1) const;

private:
  struct Point
  {
    double use, volume;
  };
  std::vector<Point> points_[2]; ///< per segment
  double volume_[2] = {0, 0};
};

struct CollapseCase
{
  const mesh::ConstructMesh &construct; ///< borrowed
  Vector3 hock_centre;                  ///< Anatomy::hock_centre: the reaction's point
  ConstructMaterials materials;
  CutLaw law;
  bool open_cut = false; ///< a gap that never closes; `law` is not used
  bool bone_flows = false;
  Vector elastic = {}; ///< ConstructModel::displacement() of these forces and this law: spares the search for the contact; may be empty
  std::vector<CellMaterial> bone_laws = {}; ///< of bone_law.h; not with bone_flows
};

struct CollapseStep
{
  double factor = 0;
  double plateau_drift_deg = 0; ///< with the permanent part; at factor 0 after a load it is the permanent part alone
  double plastic_volume_mm3 = 0, peak_plastic_strain = 0; ///< of the metal
  double elongation_used = 0;                             ///< largest plastic strain of a metal part over its elongation at break
  double bone_past_yield_percent = 0;                     ///< of the cortex of the worse segment
  bool broken() const { return elongation_used >= 1 || bone_past_yield_percent >= 100 * bone_share; }
};

struct CollapseResult
{
  PlasticResult solve;
  std::vector<CollapseStep> steps;
  /// Factor where metal first flows at a quadrature point, straight on from the last step before it does (0 when it already flows
  /// at the first factor); where elongation_used passes 1; where bone_share is passed: linear between steps. 0: not within the
  /// load reached.
  double first_yield_factor = 0, fracture_factor = 0, bone_limit_factor = 0;
};
/// Factor at which the elastic displacement of factor 1 brings the first quadrature point of the metal to its yield strength;
/// 0 when no metal is stressed.
double first_yield_factor(const CollapseCase &setup, const Elasticity &elasticity, const Vector &displacement);
/// Throws Error for a construct that cannot be pushed: tied threads, plain heads, a plate that presses on the bone.
void check_push(const CollapseCase &setup);
/// `watch` sees each row as it comes.
CollapseResult push_to_collapse(const CollapseCase &setup, const std::vector<PointForce> &forces, const PlasticOptions &options,
                                const std::function<void(const CollapseStep &)> &watch = {});
} // namespace stifle::solver
