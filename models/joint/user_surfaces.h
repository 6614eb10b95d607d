// models/joint/user_surfaces.h - beds and menisci between the surfaces of tibia.surface and joint.femur_surface, read once per process
//   frame   tibial surface: unoperated tibia frame of this dog; errors: those of read_joint_surfaces, and InputError when the bones
//           interpenetrate deeper or stand farther apart than the cartilage in the reference pose, on either side
//   threads safe
#pragma once
#include "models/joint/meniscus_rim.h"
#include "models/joint/surface_bed.h"
#include "models/parts/joint_surfaces.h"
#include <array>

namespace stifle
{
/// Null when the scenario gives no surfaces. `stiffness` MPa/mm of the layer.
std::shared_ptr<const std::array<SurfaceBed, 2>> user_surface_beds(const Scenario &scenario, double stiffness_mpa_per_mm);
/// The menisci on the same bones, as far as they are there: their rims lie on the tibia and just touch the femur in the pose of
/// reference. `segment`: motion of the cut piece. Only with surfaces. InputError when a meniscus that is not removed finds fewer
/// than 10 of its 13 cells on the bones.
std::vector<MeniscusRim> user_rims(const Scenario &scenario, double stiffness_mpa_per_mm, const std::array<Meniscus, 2> &menisci,
                                   const RigidPose &segment);
/// Reads and checks the surfaces of a scenario (stifle check); nothing without them.
void check_user_surfaces(const Scenario &scenario);
} // namespace stifle
