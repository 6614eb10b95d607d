// benchmarks/joint_speed/fineness.h - the contact bed of recorded poses: its share of the time, and a fourfold finer bed beside
// it
#pragma once
#include "models/joint/spatial_joint.h"

namespace stifle::bench
{
struct Pose
{
  JointCase joint_case;
  SpatialSetup usual;
  Vector7 unknowns; ///< in balance on the usual bed
  bool tendon_free;
};
using Poses = std::vector<Pose>;

/// Those of the cases that converge.
Poses recorded_poses(const std::vector<JointCase> &cases);
/// Time of cartilage beds and menisci in one balance; `posture_us`, `iterations`: mean of a posture.
void print_contact_share(const Poses &poses, double posture_us, double iterations);
/// Same pose: force and moment of the cartilage bed against 32 rays and 8 rings, its peak against the largest depth on a grid of
/// 0.1 mm. New balance on the finer bed and on finer menisci (52 cells): contact, thrust and peak of the whole joint.
void print_fineness(const Poses &poses);
} // namespace stifle::bench
