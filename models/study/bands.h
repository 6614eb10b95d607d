// models/study/bands.h - 5, 50 and 95 % values of the joint over the uncertain inputs
//   draws   the first `study.samples` design points of study.design and study.seed; the block A of the Sobol indices too
//   fails   a sample whose pose is not found, or whose arc cannot be cut, is left out of the band and counted.
//           When more than 5 % fail they could fill a whole tail, so the band is left empty and only the count is given.
//   digits  the same for any number of threads
#pragma once
#include "models/core/parallel.h"
#include "models/study/sampled_joint.h"

namespace stifle
{
struct StudyOptions
{
  int threads = 1;
  Progress progress; ///< pieces: samples times bones, samples times instants, or dogs solved
};

struct Band
{
  std::optional<double> plateau_angle_target_deg; ///< empty for a neutral slope
  std::string ligament, repair;
  StudyInstant instant;
  std::string quantity, unit;
  std::optional<double> low, median, high; ///< empty when more than 5 % of the samples failed
  std::size_t samples = 0, failed = 0;     ///< drawn; left out of them
};

/// A band for every key of `rows`: thrust (listed with ligament intact, equal for torn), cranial cruciate (intact), caudal
/// cruciate and cranial translation (torn). Order: bone as in the rows, instant as in the rows, quantity as above.
/// Rows with repair none: native angle = key, so that only the observer error spreads the slope. Rows with repair levelling:
/// the native angle is drawn. The translation is against the unoperated intact joint of the same drawn dog (repair none: at the
/// scenario's plateau angle). Rows of a repair that can_sample refuses have no band. Empty when study.samples is 0.
std::vector<Band> sample_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                               const std::vector<JointRow> &rows, const StudyOptions &options);

/// A band for the neutral slope of each instant: quantity neutral_plateau_angle, as measured. A dog without a neutral slope
/// between -10 and 40 deg counts as failed. Hamstrings stay at the scenario's value.
std::vector<Band> sample_neutral_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                                       const std::vector<StudyInstant> &instants, const StudyOptions &options);

/// Middle of stance of every activity, then press, axial and tendon.
std::vector<StudyInstant> neutral_instants(const std::vector<Activity> &activities);

/// Writes the thrust bands into the rows with the same key (thrust_low_n, thrust_high_n).
void set_thrust_bands(std::vector<JointRow> &rows, const std::vector<Band> &bands);

/// Value below which the part `part` of the sorted values lies, linear between them (rule 7 of Hyndman and Fan 1996, memory).
double value_at(const std::vector<double> &sorted, double part);

/// Draws of the inputs: coordinates 0..k-1 are block A, k..2k-1 block B.
std::vector<std::vector<double>> study_points(const Scenario &scenario, std::size_t n_inputs);
SampledDog nominal_dog(const Scenario &scenario, const std::vector<Activity> &activities);
} // namespace stifle
