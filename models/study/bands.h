// models/study/bands.h - 5, 50 and 95 % values of the joint over the uncertain inputs
//   draws   the first `study.samples` design points of study.design and study.seed; the block A of the Sobol indices too
//   fails   a sample whose pose is not found, or whose repair cannot be done, is left out of the band and counted, with its
//           reason. When more than 5 % fail they could fill a whole tail, so the band is left empty and only count and reason
//           stay.
//   digits  the same for any number of threads
#pragma once
#include "models/core/parallel.h"
#include "models/study/draws.h"
#include "models/study/sampled_joint.h"

namespace stifle
{
struct StudyOptions
{
  int threads = 1;
  Progress progress; ///< pieces: samples times bones, samples times neutral slopes, or dogs solved
  const std::vector<UncertainInput> *inputs = nullptr; ///< in the place of uncertain_inputs; null: those
};

struct Band : Spread
{
  std::optional<double> plateau_angle_target_deg; ///< empty for a neutral slope
  std::string ligament, repair;
  StudyInstant instant;
  std::string quantity, unit;
};

/// A band for every key of `rows`: thrust (listed with ligament intact, equal for torn), cranial cruciate (intact), caudal
/// cruciate and cranial translation (torn), for repair suture also repair_load (torn). Order: bone as in the rows, instant as in
/// the rows, quantity as above. Which native angle the dogs have: sampled_bone. The translation is against the unoperated
/// intact joint of the same drawn dog (repairs that leave the plateau: at the angle of the key). Empty when study.samples is 0.
std::vector<Band> sample_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                               const std::vector<JointRow> &rows, const StudyOptions &options);

/// Writes the thrust bands into the rows with the same key (thrust_low_n, thrust_high_n).
void set_thrust_bands(std::vector<JointRow> &rows, const std::vector<Band> &bands);

/// A sentence for each repair and reason that left bands empty, for the log: how many, and why.
std::vector<std::string> empty_bands(const std::vector<Band> &bands);
} // namespace stifle
