// models/joint/spatial_balance.h - all forces on tibia + foot for one pose of the femur in space, with their derivative
//   frame     unoperated tibia; forces act ON the tibia (+ foot)
//   unknowns  0-2 place of the femur origin along chord, y and normal of the plateau, from the moved intercondylar point, mm
//             3-4 rotation of the femur about the floating axis and about the tibial axis z, times a lever of 30 mm
//             5   patellar tendon force, N;  6 depth of the patella in the groove, mm
//             femur to tibia: Rz(rotation) Rx(varus) Ry(flexion held); sequence of Grood and Suntay 1983 (memory)
//   residual  0-4 work-conjugate to the pose, 5 moment about the flexion axis over the lever, 6 contact of the patella; all N
//   source    DEVELOPERS.md "Joint"
#pragma once
#include "models/joint/joint.h"
#include "models/joint/meniscus_rim.h"
#include "models/joint/patella.h"
#include "models/joint/surface_bed.h"
#include "models/joint/wrench_sum.h"

namespace stifle
{
using Vector7 = Eigen::Matrix<double, 7, 1>;
using Matrix7 = Eigen::Matrix<double, 7, 7>;
constexpr double pose_lever_mm = 30;

/// Everything of a case that does not change with the unknowns.
struct SpatialSetup
{
  explicit SpatialSetup(const JointCase &joint_case, const BedRule &rule = {});

  LoadSet set;
  StanceLoad load;
  Anatomy anatomy;
  PlateauFrame plateau;
  Matrix3 flexion;
  Groove groove;
  double patella_stiffness = 0; ///< N/mm
  std::vector<CondyleBed> beds;
  std::vector<MeniscusRim> rims;
  std::shared_ptr<const std::array<SurfaceBed, 2>> surfaces; ///< a user's bones in the place of `beds`
  RigidPose segment;                                         ///< motion of the cut piece that carries the plateau
  std::optional<SutureLine> suture;
  double cranial_fraction = 1;  ///< of the cranial cruciate left: 1 intact, 0 torn
  Vector3 hand_force = Vector3::Zero(), hand_moment = Vector3::Zero(); ///< of passive tests, at the origin
  double set_force_n = 0;
  bool moment_held = false;   ///< the rig holds the flexion: no tendon
  bool rotation_held = false; ///< the rig holds the rotation about the long axis of the tibia in the reference pose
};

struct SpatialPose
{
  RigidPose femur;
  Eigen::Matrix<double, 6, 5> motion; ///< of the femur per unknown 0-4
  Vector3 floating, medial_axis;
};
/// The same case with the cranial cruciate cut by `part` (1: as the case says).
SpatialSetup partly_cut(SpatialSetup setup, double part);
/// The same case with a part of every load that muscles, ground and rig put on it.
SpatialSetup with_load_part(SpatialSetup setup, double part);
/// Femur to tibia frame for the unknowns 3 and 4 and the turn of the held flexion.
Matrix3 pose_turn(double varus_mm, double rotation_mm, const Matrix3 &flexion);
SpatialPose pose_of(const SpatialSetup &setup, const Vector7 &unknowns);

struct SpatialBalance
{
  Vector7 residual = Vector7::Zero();
  Matrix7 slope = Matrix7::Zero();
  bool possible = true; ///< false: the tendon does not reach the trochlea

  // parts, tibia frame
  SpatialPose pose;
  Vector3 patella = Vector3::Zero(), tendon_direction = Vector3::Zero();
  Vector3 active = Vector3::Zero(); ///< muscle + ground + tendon + weight: without contact, ligament and repair
  Vector3 foot_force = Vector3::Zero(), hock_on_tibia = Vector3::Zero(), tibial_share = Vector3::Zero();
  Vector3 hamstrings = Vector3::Zero(), popliteus = Vector3::Zero(), suture = Vector3::Zero();
  std::vector<Vector3> bundle_forces;
  std::array<BedWrench, 2> contact, rim; ///< cartilage, meniscus
  bool calcanean_clipped = false; ///< a need below 0 was set to 0
  double calcanean_n = 0, quadriceps_n = 0, patella_contact_n = 0;
  double flexion_moment_nmm = 0; ///< left over about the flexion axis
};
SpatialBalance spatial_balance(const SpatialSetup &setup, const Vector7 &unknowns);
} // namespace stifle
