// scenarios/app/refine.h - `run --refine`: the worst state once more on a mesh that is finer where its error estimate is largest
//   state   least margin against yield (metal, where there is a plate) over all slopes
//   finer   edges of half the length at each reported peak and at the cells of largest error of each part, away from excluded
//           lines: there a peak grows without end, whatever the mesh
//   result  change of each reported peak; a change well above the estimate says that the estimate was too kind
//   limits  local: the bone between the marks keeps its mesh; benchmarks/mesh_study refines everywhere
#pragma once
#include "mesh/size_point.h"
#include "scenarios/app/construct_tier.h"
#include <optional>

namespace stifle::app
{
struct RefinedPeak ///< a row of refine.csv; an excluded peak is not refined, its change shows that it does not settle
{
  std::string part;
  bool        excluded = false;
  double      peak_mpa = 0, refined_mpa = 0;
  Vector3     place_mm = Vector3::Zero(), refined_place_mm = Vector3::Zero();
  double      error_estimate_percent = 0, refined_error_estimate_percent = 0;
  double      change_percent() const { return peak_mpa > 0 ? 100 * (refined_mpa / peak_mpa - 1) : 0; }
};

struct Refinement
{
  double      achieved_deg = 0, target_deg = 0, week = 0, percent = 0;
  bool        operated = false;
  std::string activity;
  std::size_t tetrahedra = 0, refined_tetrahedra = 0;
  double      drift_deg = 0, refined_drift_deg = 0;
  std::vector<RefinedPeak> peaks; ///< parts in the order of the mesh
  std::string error;              ///< not empty: the finer mesh could not be solved
};

/// Empty when no state was solved. Takes up a refinement of the same fingerprint; writes DIR/refine.csv.
std::optional<Refinement> refine_worst_state(const ConstructPlan &plan, const std::vector<SlopeResult> &slopes);
/// Places for the finer mesh, from the last state of `model`.
std::vector<mesh::SizePoint> refine_places(const solver::ConstructModel &model, const std::vector<PartPeak> &peaks);
/// For the closing text, at most 80 columns.
std::string refine_text(const Refinement &refinement);
} // namespace stifle::app
