// models/joint/joint.h - tibia against femur as rigid bodies: pose, thrust, ligaments, contact
//   frame   unoperated tibia; forces act ON the tibia (+ foot where named)
//   source  DEVELOPERS.md "Joint"; design.md "Joint"
//   limits  dimension 2: sagittal plane, contact split over two centres by a given share, one spring for collaterals, capsule and
//           menisci. dimension 3 (spatial_balance.h): five free pose components at given flexion. Both fill the same values.
#pragma once
#include "models/limb/statics.h"
#include "models/parts/levelling.h"
#include <array>

namespace stifle
{
enum class LigamentState
{
  intact,
  torn
};
enum class LoadSet
{
  stance,
  press,
  axial,
  tendon
};
std::string to_string(LigamentState state);
std::string to_string(LoadSet set);
LigamentState ligament_state(const std::string &name);
LoadSet load_set(const std::string &name);

/// A force on the tibia at a named landmark. `proximal`: it acts on the segment that levelling rotates.
struct PointForce
{
  std::string name; ///< contact_medial, contact_lateral, patellar_tendon, cruciate_cranial, cruciate_caudal, hamstrings,
                    ///< calcanean_share, crus_weight; 2-D: secondary; 3-D: collateral_medial, collateral_lateral, capsule,
                    ///< popliteus, suture, rig (a group of bundles has one entry per side of the cut: ..._distal)
  Vector3 point_mm = Vector3::Zero();
  Vector3 force_n = Vector3::Zero();
  bool proximal = false;
  Vector3 moment_nmm = Vector3::Zero(); ///< couple that goes with it: of a spread contact or a group of bundles
};

struct JointCase
{
  Scenario scenario;    ///< joint and limb parameters
  OperatedAnatomy bone; ///< with or without levelling
  LigamentState ligament = LigamentState::intact;
  LoadSet set = LoadSet::stance;
  StanceLoad load; ///< from stance_load or set_load
};

/// The load of the sets press, axial and tendon at the held stifle angle (foot as one body with the tibia).
/// press and tendon are directed in the pose by solve_joint; axial follows the functional axis of the operated bone.
StanceLoad set_load(const Scenario &scenario, const OperatedAnatomy &bone, LoadSet set, double stifle_angle_rad, double force_n);

struct JointState
{
  bool converged = false;
  int iterations = 0;
  double residual_n = 0;           ///< largest unbalanced force, or moment over a 30 mm lever, at the end
  std::vector<double> residuals_n; ///< the same over the last Newton iteration
  std::string reason;              ///< why it did not converge
  bool dislocates = false;         ///< 3-D, not converged: the femur runs off the plateau, no failed search (spatial_equilibrium.h)
  bool stable = true;              ///< 3-D: false where the balance is one of unstable equilibrium
  double quadriceps_n = 0, patellar_tendon_n = 0, gastrocnemius_n = 0, hamstrings_n = 0;
  bool quadriceps_clipped = false; ///< a need below 0 was set to 0
  bool calcanean_clipped = false;  ///< the same: the moment about the hock is not balanced
  double hock_force_n = 0, joint_force_n = 0;
  double thrust_n = 0; ///< definition: design.md "Joint"; equal for intact and torn
  double normal_n = 0; ///< compression normal to the plateau chord of the same forces, > 0
  double cruciate_cranial_n = 0, cruciate_caudal_n = 0, secondary_n = 0;
  double contact_medial_n = 0, contact_lateral_n = 0, peak_pressure_mpa = 0; ///< whole compartment, meniscus included
  double collateral_medial_n = 0, collateral_lateral_n = 0, capsule_n = 0; ///< 3-D
  double repair_load_n = 0;                                                ///< in the suture
  std::array<double, 2> meniscus_n{}, contact_area_mm2{}, area_above_10_mpa_mm2{}; ///< 3-D; medial, lateral
  std::array<double, 2> cartilage_peak_mpa{}, meniscus_peak_mpa{};                 ///< 3-D
  /// 3-D: centre of pressure and mean normal weighted with pressure of the cartilage, else of the meniscus; tibia frame
  std::array<Vector3, 2> contact_centre{{Vector3::Zero(), Vector3::Zero()}}, contact_normal{{Vector3::Zero(), Vector3::Zero()}};
  double patella_contact_n = 0, patella_pressure_mpa = 0;                        ///< 3-D; mean over the facet
  double rotation_internal_rad = 0, varus_rad = 0; ///< 3-D: tibia against femur; varus: distal tibia towards medial
  double translation_cranial_mm = 0; ///< of the tibia against the femur, minus the intact unoperated joint (caller subtracts)
  double tendon_angle_rad = 0;       ///< patellar tendon against the plateau chord (90 deg: no thrust by the tendon)
  std::array<double, 7> unknowns{};        ///< 3-D: of spatial_balance.h, for a warm start
  Vector3 femur_origin = Vector3::Zero();  ///< centre of the condyle circle in the tibia frame
  Vector3 patella = Vector3::Zero();       ///< tendon attachment on the patella, tibia frame
  Vector3 hock_on_tibia = Vector3::Zero(); ///< force of the foot on the tibia at the hock centre, posed geometry
  std::vector<PointForce> on_tibia;        ///< free body of the tibia without the hock force (loads of step 5)
};

/// Solves the pose. The march along the plateau starts at the intercondylar point, for a torn ligament where the intact joint
/// stands, or at an earlier state `guess`. Results do not depend on earlier calls. Never throws on non-convergence: see
/// `converged`; then every force is 0 and must not be shown.
JointState solve_joint(const JointCase &joint_case, const JointState *guess = nullptr);

/// stance_load or set_load of one instant; Error when the set stance comes without an activity.
StanceLoad load_of_instant(const Scenario &scenario, const OperatedAnatomy &bone, LoadSet set, const Activity *activity,
                           double percent);

/// Load and state of one instant: load_of_instant, then solve_joint.
JointState solve_instant(const Scenario &scenario, const OperatedAnatomy &bone, LigamentState ligament, LoadSet set,
                         const Activity *activity, double percent);

/// Plateau angle (achieved, radians) at which thrust vanishes, by root search over the levelling target from 40 down to -10 deg:
/// the first one that levelling meets.
/// Empty when there is no sign change.
std::optional<double> neutral_plateau_angle(const Scenario &scenario, const Anatomy &anatomy, LoadSet set,
                                            const Activity *activity, double percent);
} // namespace stifle
