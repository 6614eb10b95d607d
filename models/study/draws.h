// models/study/draws.h - drawn dogs by index; the values of a quantity over them gathered into a band
#pragma once
#include "models/study/uncertain_input.h"
#include <limits>
#include <map>
#include <optional>

namespace stifle
{
constexpr double not_found = std::numeric_limits<double>::quiet_NaN(); ///< inside the study only: Gathered drops it

/// Draws of the inputs: coordinates 0..k-1 are block A, k..2k-1 block B.
std::vector<std::vector<double>> study_points(const Scenario &scenario, std::size_t n_inputs);
SampledDog nominal_dog(const Scenario &scenario, const std::vector<Activity> &activities);

/// Draws a dog for an index below size(): block A of the design.
class Draws
{
public:
  /// `inputs`: in the place of uncertain_inputs when not null.
  Draws(const Scenario &scenario, const std::vector<Activity> &activities, const std::vector<UncertainInput> *inputs = nullptr);
  std::size_t size() const { return points_.size(); }
  SampledDog dog(std::size_t sample) const { return sampled_dog(nominal_, inputs_, points_[sample]); }

private:
  std::vector<UncertainInput> inputs_;
  std::vector<std::vector<double>> points_;
  SampledDog nominal_;
};

/// Why a drawn dog has no value.
struct Failure
{
  std::string reason;
  bool dislocates = false; ///< the femur runs off the plateau (spatial_equilibrium.h): a result, not a failed search
};

/// 5, 50 and 95 % values and what is missing from them.
struct Spread
{
  std::optional<double> low, median, high;
  std::size_t samples = 0, failed = 0; ///< drawn; left out of low, median and high
  std::size_t dislocated = 0;          ///< of the failed: the joint dislocates
  std::string reason; ///< an example of the most frequent one of the failed; reasons that differ in numbers are one
};

/// Of the draws of a band: more could fill a whole tail of it.
constexpr double largest_failed_part = 0.05;

class Gathered
{
public:
  void add(double value, const Failure &failure); ///< a value that is not finite counts as failed
  /// Empty low, median and high when more than the part `allowed` failed, or all.
  Spread spread(double allowed) const;

private:
  std::vector<double> values_;
  std::size_t failed_ = 0, dislocated_ = 0;
  struct Reason
  {
    std::string example; ///< the first in alphabet
    std::size_t times = 0;
  };
  std::map<std::string, Reason> reasons_; ///< by the text without its numbers
};

/// Value below which the part `part` of the sorted values lies, linear between them (rule 7 of Hyndman and Fan 1996, memory).
double value_at(const std::vector<double> &sorted, double part);
} // namespace stifle
