// mesh/hole_plan.h - the holes of the plate in (x, z) with what each holds, from the keys of the scenario
//   frame   unoperated tibia, mm; holes run along y. The plate with its holes is turned by plate.inclination_deg about a
//           mediolateral axis through its centre line at the mean height of the holes; positive moves the distal end caudal
//   errors  Error: lists of different lengths; InputError: unknown size (both refused by read_scenario before)
#pragma once
#include "models/core/scenario.h"

namespace stifle::mesh
{
enum class HoleKind
{
  locking, ///< head tied to the plate
  plain,   ///< head on a seat in a countersink, shaft free in a wider hole
  open     ///< no screw
};

struct HolePlan
{
  std::string name; ///< screw_N, or hole_N without a screw; N from proximal to distal over all holes
  double x, z;
  bool proximal;
  HoleKind kind = HoleKind::locking;
  double core_mm, major_mm;
  bool both_cortices = true;
  std::optional<double> length_mm; ///< outer face of the plate to tip; absent: by the cortices
  double preload_n = 0, compression_n = 0; ///< of a plain screw: pull, and force along the plate towards the cut
};

/// A turn in the (x, z) plane about a centre.
struct PlateTurn
{
  double centre_x = 0, centre_z = 0, angle_rad = 0;
  std::array<double, 2> operator()(double x, double z) const;
};
PlateTurn plate_turn(const Scenario &scenario);

/// What each hole holds, by its place in the list, from screws.holes, sizes, cortices and lengths_mm.
void fill_holes(std::vector<HolePlan> &holes, const ScrewParameters &screws);
/// screw_N or hole_N by the place in the list.
void name_holes(std::vector<HolePlan> &holes);

/// Before the turn, proximal ones first, each group from proximal to distal.
std::vector<HolePlan> plan_holes(const Scenario &scenario);
} // namespace stifle::mesh
