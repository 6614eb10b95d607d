#include "benchmarks/joint_speed/fineness.h"
#include "models/joint/layer.h"
#include <algorithm>
#include <ctime>
#include <fmt/format.h>

namespace stifle::bench
{
namespace
{
constexpr BedRule finer_bed{32, 8, 13}, all_finer{32, 8, 52};
constexpr double grid_mm = 0.1;

double processor_seconds() { return double(std::clock()) / CLOCKS_PER_SEC; }

template <class Work> double microseconds(const Poses &poses, const Work &work)
{
  const double start = processor_seconds();
  const int rounds = 20;
  for (int i = 0; i < rounds; ++i)
    for (const Pose &pose : poses)
      work(pose);
  return 1e6 * (processor_seconds() - start) / (rounds * double(poses.size()));
}

/// Parts of one, printed as percent.
struct Errors
{
  const char *what;
  std::vector<double> parts = {};
  void print()
  {
    std::sort(parts.begin(), parts.end());
    if (!parts.empty())
      fmt::print("  {:44} {:.4f} {:.4f} {:.4f}  ({} values)\n", what, 100 * parts[parts.size() / 2],
                 100 * parts[parts.size() * 99 / 100], 100 * parts.back(), parts.size());
  }
};

/// Deepest of a grid over the whole plateau: nothing of the bed's own search.
double deepest_on_grid_mm(const Pose &pose, int side, const RigidPose &femur)
{
  const PlateauSide &plateau = pose.usual.anatomy.joint.plateaus[side];
  double deepest = 0;
  for (double s = -plateau.half_length_mm; s <= plateau.half_length_mm; s += grid_mm)
    for (double y = -plateau.half_width_mm; y <= plateau.half_width_mm; y += grid_mm)
    {
      const Vector3 point = pose.usual.beds[side].surface_point(s, plateau.offset_mm + y);
      deepest = std::max(deepest, condyle_distance(pose.usual.anatomy.joint.condyles[side], femur, point).depth_mm);
    }
  return deepest;
}

void print_same_pose(const Poses &poses)
{
  Errors force{"force of the bed"}, moment{"moment over 13 mm"}, peak{"peak pressure, grid of 0.1 mm"};
  for (const Pose &pose : poses)
  {
    const SpatialSetup fine(pose.joint_case, finer_bed);
    const RigidPose femur = pose_of(pose.usual, pose.unknowns).femur;
    const JointParameters &joint = pose.joint_case.scenario.joint;
    for (const int side : {medial, lateral})
    {
      const BedWrench a = pose.usual.beds[side].wrench(femur), b = fine.beds[side].wrench(femur);
      if (b.load_n < 1)
        continue;
      const double size = b.on_tibia.head<3>().norm();
      const Vector6 missed = a.on_tibia - b.on_tibia;
      force.parts.push_back(missed.head<3>().norm() / size);
      moment.parts.push_back((missed.tail<3>() - femur.shift_mm.cross(Vector3(missed.head<3>()))).norm() / 13 / size);
      const double stiffness = bonded_modulus_mpa(joint.layer_modulus_mpa) / joint.layer_thickness_mm;
      peak.parts.push_back(std::abs(a.peak_mpa / (stiffness * deepest_on_grid_mm(pose, side, femur)) - 1));
    }
  }
  fmt::print("same pose, percent (median, 99 %, most):\n");
  for (Errors *each : {&force, &moment, &peak})
    each->print();
}

void print_new_balance(const Poses &poses, const BedRule &rule, const char *title)
{
  Errors compartment{"contact of a compartment / contact of the joint"}, thrust{"thrust / contact of the joint"},
      cruciate{"cruciates / contact of the joint"}, peak{"peak pressure of the joint"}, cartilage{"peak pressure of a cartilage"};
  std::size_t lost = 0;
  for (const Pose &pose : poses)
  {
    const SpatialSetup fine(pose.joint_case, rule);
    SpatialMask active = {true, true, true, true, true, pose.tendon_free, pose.tendon_free};
    const SpatialEquilibrium e = spatial_newton(fine, pose.unknowns, active);
    SpatialEquilibrium usual;
    usual.unknowns = pose.unknowns;
    usual.converged = true;
    const JointState a = describe(pose.joint_case, pose.usual, usual), b = describe(pose.joint_case, fine, e);
    if (!b.converged)
    {
      ++lost;
      continue;
    }
    const double size = b.joint_force_n;
    compartment.parts.push_back(std::abs(a.contact_medial_n - b.contact_medial_n) / size);
    compartment.parts.push_back(std::abs(a.contact_lateral_n - b.contact_lateral_n) / size);
    thrust.parts.push_back(std::abs(a.thrust_n - b.thrust_n) / size);
    cruciate.parts.push_back(
        (std::abs(a.cruciate_cranial_n - b.cruciate_cranial_n) + std::abs(a.cruciate_caudal_n - b.cruciate_caudal_n)) / size);
    peak.parts.push_back(std::abs(a.peak_pressure_mpa / b.peak_pressure_mpa - 1));
    for (const int side : {medial, lateral})
      if (b.cartilage_peak_mpa[side] > 0.1)
        cartilage.parts.push_back(std::abs(a.cartilage_peak_mpa[side] / b.cartilage_peak_mpa[side] - 1));
  }
  fmt::print("new balance on {}, percent (median, 99 %, most); {} of {} not found:\n", title, lost, poses.size());
  for (Errors *each : {&compartment, &thrust, &cruciate, &peak, &cartilage})
    each->print();
}
} // namespace

Poses recorded_poses(const std::vector<JointCase> &cases)
{
  Poses poses;
  for (const JointCase &c : cases)
  {
    const JointState state = solve_joint(c);
    if (state.converged)
      poses.push_back({c, SpatialSetup(c), Eigen::Map<const Vector7>(state.unknowns.data()), !state.quadriceps_clipped});
  }
  return poses;
}

void print_contact_share(const Poses &poses, double posture_us, double iterations)
{
  double sink = 0;
  const auto both = [&](const Pose &pose, const auto &parts)
  {
    const RigidPose femur = pose_of(pose.usual, pose.unknowns).femur;
    for (const int side : {medial, lateral})
      sink += parts[side].wrench(femur).load_n;
  };
  const double bed = microseconds(poses, [&](const Pose &pose) { both(pose, pose.usual.beds); });
  const double rim = microseconds(poses, [&](const Pose &pose) { both(pose, pose.usual.rims); });
  const double whole =
      microseconds(poses, [&](const Pose &pose) { sink += spatial_balance(pose.usual, pose.unknowns).residual(0); });
  fmt::print("one evaluation of the balance {:.1f} us: cartilage beds {:.1f} us ({:.0f} %), menisci {:.1f} us ({:.0f} %)\n",
             whole, bed, 100 * bed / whole, rim, 100 * rim / whole);
  fmt::print("a posture {:.0f} us and {:.1f} iterations: contact at least {:.0f} % of the time [{}]\n", posture_us, iterations,
             100 * iterations * (bed + rim) / posture_us, sink > 0 ? 1 : 0);
}

void print_fineness(const Poses &poses)
{
  print_same_pose(poses);
  print_new_balance(poses, finer_bed, "a fourfold finer cartilage bed");
  print_new_balance(poses, all_finer, "fourfold finer cartilage and menisci");
}
} // namespace stifle::bench
