// models/study/uncertain_input.h - what is not known about a dog, how far it spreads and where a drawn value goes
//   units   as named by each input; angles in degrees (edge of the program), lengths of a 200 mm tibia (they scale with it)
//   source  each input carries label and source; spreads of joint.md sections 1 to 6 and alternatives.md section 6
//   limits  inputs are drawn independently of one another; body mass and the lengths of the bones are held. A key set by the user
//           stays the middle: the spread of the default, as a part of it, goes around the user's value.
#pragma once
#include "models/limb/activities.h"
#include "models/margins/strength_draw.h"
#include "models/parts/anatomy.h"
#include <functional>

namespace stifle
{
/// Truncated normal (mean and standard deviation of the untruncated law, cut at 2.5 of them on both sides) or uniform.
class Distribution
{
public:
  static Distribution normal(double mean, double standard_deviation);
  static Distribution uniform(double low, double high);
  /// Value below which the part `u` of all draws lies, 0 < u < 1. Rising in u.
  double quantile(double u) const;
  double low() const;       ///< no draw is below
  double high() const;      ///< no draw is above
  std::string text() const; ///< "normal 25 +- 3" or "uniform 5 to 10"

private:
  enum class Shape
  {
    normal,
    uniform
  };
  Distribution(Shape shape, double first, double second) : shape_(shape), first_(first), second_(second) {}
  Shape shape_;
  double first_, second_;
};

/// One dog out of the study: its own copies of everything that an input may change.
struct SampledDog
{
  Scenario scenario; ///< tibia.plateau_angle_deg is the true angle of this dog: measured minus observer error
  AnatomyVariation variation;
  std::vector<Activity> activities;
  double observer_error_deg = 0; ///< measured minus true plateau angle
  double callus_shift = 0;       ///< callus.h; drawn for margins only, as are the strengths
  StrengthDraw strengths;
};

struct UncertainInput
{
  std::string name, unit;
  Distribution distribution;
  Label label;
  std::string source;
  std::function<void(SampledDog &, double value)> apply; ///< order of the inputs does not matter
};

/// The inputs that exist for the scenario's joint.dimension and, last, for a suture in repair.kind, in a fixed order.
std::vector<UncertainInput> uncertain_inputs(const Scenario &scenario);

/// The dog at one point of the unit cube, a coordinate an input.
SampledDog sampled_dog(const SampledDog &nominal, const std::vector<UncertainInput> &inputs, const std::vector<double> &point);
} // namespace stifle
