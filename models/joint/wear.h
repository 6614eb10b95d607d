// models/joint/wear.h - pressure times sliding over stance, relative to the intact unoperated joint: an index, not a dose of
// disease
//   formula  W = sum over successive instants i of p_m(i) |u(i)|, MPa mm per stance, for each compartment
//              u    movement of the femur against the tibia at the contact centre (of cartilage, where it touches), without its part along the normal of the
//                   touching surfaces there (mean of both instants, JointState::contact_normal):
//                   u = T(i+1) q - T(i) q, T the pose of the femur in the tibia frame, q the mean of the two contact centres in
//                   the femur frame; pure rolling gives 0 up to the third order of the turn
//              p_m  mean of the pressures at both instants: mean pressure (contact force / contact area, meniscus included), and
//                   a second time the peak pressure of the compartment (the larger of cartilage and meniscus)
//   still    an activity of one posture (stand) slides nothing: paths and W are 0, their ratios empty
//   instants 5, 15, ... 95 % of stance; a state misses its index when one of them is not found
//   source   alternatives.md section 4, row Report (assumption): W = sum of p x slip as ratio to the intact joint
//   limits   three-dimensional joint; stance only, no swing
#pragma once
#include "models/core/files.h"
#include "models/joint/bed_wrench.h"
#include "models/joint/sweep.h"
#include <algorithm>

namespace stifle
{
/// Movement of the femur at the contact between two poses (femur frame to tibia frame), tangential to `normal`, mm >= 0.
double sliding_mm(const RigidPose &from, const RigidPose &to, const Vector3 &centre_from, const Vector3 &centre_to,
                  const Vector3 &normal);

struct CompartmentWear
{
  double sliding_mm = 0, mean_mpa_mm = 0, peak_mpa_mm = 0; ///< path; W of the mean and of the peak pressure
  double cartilage_peak_mpa = 0, meniscus_peak_mpa = 0, area_above_10_mpa_mm2 = 0; ///< largest over stance
  double peak_pressure_mpa() const { return std::max(cartilage_peak_mpa, meniscus_peak_mpa); }
};

struct WearRow
{
  std::string activity, repair;
  double plateau_angle_deg = 0, plateau_angle_target_deg = 0;
  LigamentState ligament = LigamentState::intact;
  std::array<CompartmentWear, 2> sides; ///< medial, lateral
  bool complete = false;
  std::string reason; ///< which instant was not found, and why
};

/// Activity as listed outermost, then bone as in named_bones, then ligament (intact, torn). Empty when joint.dimension is not 3.
std::vector<WearRow> wear_rows(const Scenario &scenario, const std::vector<Activity> &activities,
                               const SweepOptions &options = {});
/// Three lines a row: medial, lateral, both (paths and W added, peaks the larger, areas added). The ratios (the index) are to the
/// same line of the intact unoperated joint in that activity; empty when that is 0, or not known: then `reason` says so.
Table wear_table(const std::vector<WearRow> &rows);
} // namespace stifle
