// models/study/sampled_joint.h - bones, instants and neutral slopes of one dog out of the study
//   slopes  the key of a row is the angle the surgeon measured or aimed at; the true angle is that minus the observer error
//   errors  Error when an arc cannot be cut in this dog: the caller counts the sample as failed
#pragma once
#include "models/joint/sweep.h"
#include "models/study/uncertain_input.h"

namespace stifle
{
/// What is loaded: a set, and for stance an activity and an instant.
struct StudyInstant
{
  LoadSet set = LoadSet::stance;
  std::string activity; ///< empty outside the set stance
  double percent = 0;
};
bool operator==(const StudyInstant &a, const StudyInstant &b);

struct SampledBone
{
  Scenario scenario;
  OperatedAnatomy bone;
};

/// True for the repairs that give the plateau another angle: levelling, wedge.
bool turns_plateau(const std::string &repair);
/// The repair as `repaired` does it on a drawn dog; words of repair.kind. Throws Error when it cannot be done on this dog.
/// levelling, wedge: this dog, its own native angle, cut for `target_deg`.
/// none, suture, advancement: a dog whose native plateau angle was measured as `target_deg`, soft parts of this dog (as
/// joint_rows does). An advancement that the scenario does not give is planned on the tendon angle as measured.
SampledBone sampled_bone(const SampledDog &dog, const std::string &repair, double target_deg);
/// This dog with its own native plateau angle, no cut.
SampledBone unoperated_bone(const SampledDog &dog);

JointState solve_sampled(const SampledDog &dog, const SampledBone &bone, LigamentState ligament, const StudyInstant &instant);

/// Plateau angle (true, degrees) at which the thrust of this dog vanishes; empty when there is none. Looks around
/// `guess_deg` first, up to 4 deg above what it finds, and scans everything (neutral_plateau_angle) only when that fails: a
/// second root still higher is not seen.
std::optional<double> sampled_neutral_deg(const SampledDog &dog, const StudyInstant &instant, double guess_deg);
/// The same by the full scan.
std::optional<double> scanned_neutral_deg(const SampledDog &dog, const StudyInstant &instant);
} // namespace stifle
