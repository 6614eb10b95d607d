// models/joint/passive.h - tests by hand on the three-dimensional joint, no muscle but the stretched gastrocnemius
//   flexion      held by the examiner: no quadriceps, no tendon force; the weights of crus and foot lie in his hands
//   compression  tibia and femur are held together by passive.compression_n square to the plateau through the intercondylar point
//                (it makes no thrust of its own); axial_force_n of the row. Not in tibial compression.
//   drawer       passive.hand_force_n on the tibia at the intercondylar point along the plateau, cranial and caudal in turn (the
//                hands give way square to it; assumption)
//   tibial_compression  tibia upright, hock flexed to passive.hock_angle_deg by a force on the toe joint along the tibia; its
//   size
//                makes the gastrocnemius pull with passive.gastrocnemius_n in the reference pose (balance of the foot)
//   rotation     passive.hand_moment_nmm about z of the tibia, internal and external in turn
//   frame        unoperated tibia; translations along the plateau of the bone at hand, tibia against femur
//   errors       Error when a repair cannot be done; a pose that is not found is a row with `converged` false and the reason
#pragma once
#include "models/core/files.h"
#include "models/joint/sweep.h"

namespace stifle
{
struct PassiveRow
{
  std::string test; ///< drawer | tibial_compression | rotation
  std::string repair;
  double plateau_angle_deg = 0, plateau_angle_target_deg = 0;
  LigamentState ligament = LigamentState::intact;
  double stifle_angle_deg = 0;
  double hand_force_n = 0;    ///< > 0 drives the tibia cranially; tibial compression: force on the toe joint
  double hand_moment_nmm = 0; ///< > 0 internal
  double axial_force_n = 0;
  JointState state;
  double translation_cranial_mm = 0;        ///< against the pose of the same joint without hand
  double rotation_internal_rad = 0;         ///< the same
  std::optional<double> total_laxity_mm;    ///< drawer: cranial minus caudal, in both rows
  std::optional<double> total_rotation_rad; ///< rotation: internal minus external, in both rows
};

/// The joint in the hands that make drawer and rotation: flexion held, tibia and femur pressed together by passive.compression_n.
JointCase held_case(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, double flexion_deg);
/// The pose of such a joint under a force along the plateau (> 0 cranially) and a moment about z (> 0 internal).
JointState under_hand(const JointCase &held, double force_n, double moment_nmm);

/// Bone as in named_bones, then ligament (intact, torn), flexion rising, drawer +, drawer -, tibial compression, rotation +, -.
/// Empty when joint.dimension is not 3.
std::vector<PassiveRow> passive_rows(const Scenario &scenario, const SweepOptions &options = {});
Table passive_table(const std::vector<PassiveRow> &rows);
} // namespace stifle
