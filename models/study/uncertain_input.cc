#include "models/study/uncertain_input.h"
#include "models/parts/radiograph.h"
#include "models/parts/repair.h"
#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double cut = 2.5; ///< standard deviations at which a normal input is cut

using Inputs = std::vector<UncertainInput>;

/// Around the value in use, the bounds given as parts of the default.
Distribution around(double value, double low_part, double high_part)
{
  return Distribution::uniform(value * low_part, value * high_part);
}

void add_slope(Inputs &all, const Scenario &s)
{
  const double native = s.tibia.plateau_angle_deg;
  if (!s.radiograph.landmarks) // a film measures this dog: what is left is the observer
    all.push_back({"native_plateau_angle", "deg", Distribution::normal(native, 3), Label::abstract,
                 "25 +- 3, Labrador, n = 30, VCOT 2013;26:266, joint.md section 1; as measured before surgery",
                 [native](SampledDog &dog, double v) { dog.scenario.tibia.plateau_angle_deg += v - native; }});
  all.push_back({"observer_error", "deg", Distribution::normal(0, plateau_observer_sd_deg), Label::read,
                 "SD 0.8 between observers, textbook p. 218, joint.md section 1; measured minus true plateau angle",
                 [](SampledDog &dog, double v)
                 {
                   dog.observer_error_deg += v;
                   dog.scenario.tibia.plateau_angle_deg -= v;
                 }});
}

void add_extensor(Inputs &all, const Scenario &s)
{
  if (s.joint.tendon_angle_deg)
    return all.push_back({"tendon_angle_observer_error", "deg", Distribution::normal(0, tendon_observer_sd_deg), Label::assumption,
                          "SD 0.8 as between observers of a plateau angle (textbook p. 218, joint.md section 1): no spread of a "
                          "measured tendon angle was found; measured minus true; insertion and length are held",
                          [](SampledDog &dog, double v) { *dog.scenario.joint.tendon_angle_deg -= v; }});
  all.push_back({"tendon_insertion_shift", "mm", Distribution::normal(0, 3.5), Label::assumption,
                 "tuberosity and groove together; SD 3.5 so that the tendon angle at stifle 135 spreads by about the 3.9 deg of "
                 "VCOT 2013;26:266 (joint.md section 2) when the other inputs are drawn too: chosen, not measured",
                 [](SampledDog &dog, double v) { dog.variation.tendon_insertion_shift_mm += v; }});
  all.push_back({"tendon_length", "mm", Distribution::uniform(35, 45), Label::memory, "35 to 45 at 30 kg, joint.md section 4",
                 [](SampledDog &dog, double v) { dog.variation.tendon_length_shift_mm += v - 40; }});
}

template <class Change> std::function<void(SampledDog &, double)> each_row(const Change &change)
{
  return [change](SampledDog &dog, double value)
  {
    for (Activity &activity : dog.activities)
      for (ActivityRow &row : activity.rows)
        change(row, value);
  };
}

void add_gait(Inputs &all)
{
  all.push_back({"ground_force_factor", "", Distribution::normal(1, 5.0 / 40.4), Label::abstract,
                 "peak of a walk 40.4 +- 5.0 % of body weight, n = 32, Vet Surg 2006 (Robinson), joint.md 6a; the same part is "
                 "used for every activity",
                 each_row(
                     [](ActivityRow &row, double v)
                     {
                       row.force_up_bw *= v;
                       row.force_cranial_bw *= v;
                       row.force_medial_bw *= v;
                     })});
  all.push_back({"stifle_angle_shift", "deg", Distribution::normal(0, 5), Label::memory,
                 "tables of posture are known to +- 10 deg (joint.md 6b), read as two SD; the femur tilts, the tibia stays",
                 each_row([](ActivityRow &row, double v) { row.femur_tilt_deg -= v; })});
  all.push_back({"tibia_tilt_shift", "deg", Distribution::normal(0, 3.75), Label::assumption,
                 "the sheet varies the tilt of 27 from 20 to 35 (joint.md section 2), read as two SD; stifle angle and foot stay",
                 each_row(
                     [](ActivityRow &row, double v)
                     {
                       row.tibia_tilt_deg += v;
                       row.femur_tilt_deg -= v;
                     })});
}

void add_muscles(Inputs &all, const Scenario &s)
{
  const double share = s.limb.gastrocnemius_share;
  all.push_back({"gastrocnemius_share", "", Distribution::uniform(std::max(0.0, share - 0.33), std::min(1.0, share + 0.33)),
                 Label::assumption, "0.67 and, as a variant, all of it (joint.md section 2); the lower end mirrors the upper one",
                 [](SampledDog &dog, double v) { dog.scenario.limb.gastrocnemius_share = v; }});
  all.push_back({"gastrocnemius_arm", "mm", Distribution::uniform(18, 28), Label::memory,
                 "22 (18 to 28) at the stifle, 30 kg, joint.md 6c",
                 [](SampledDog &dog, double v) { dog.variation.gastrocnemius_shift_mm += v - 22; }});
  all.push_back({"calcanean_arm", "mm", Distribution::uniform(32, 45), Label::memory,
                 "37 (32 to 45) at the hock, 30 kg, joint.md 6c",
                 [](SampledDog &dog, double v) { dog.variation.calcaneus_factor *= v / 37; }});
  const double least = s.limb.hamstrings_n;
  all.push_back({"hamstrings", "N", Distribution::uniform(least, least + 0.1 * s.dog.mass_kg * gravity_n_per_kg),
                 Label::assumption,
                 "none in the sheet, 100 N would cancel the whole thrust of a walk (joint.md 6b); up to 0.1 of body weight more",
                 [](SampledDog &dog, double v) { dog.scenario.limb.hamstrings_n = v; }});
}

void add_tissue(Inputs &all, const Scenario &s)
{
  all.push_back({"cruciate_stiffness", "N/mm", Distribution::uniform(150, 250), Label::memory,
                 "cranial 150 to 250 at 30 kg, joint.md section 4; the caudal one changes by the same factor",
                 [](SampledDog &dog, double v) { dog.variation.cruciate_stiffness_factor *= v / 200; }});
  all.push_back({"cruciate_pre_strain", "%", Distribution::uniform(1, 3), Label::memory,
                 "cranial 1 to 3 % at stifle 135 to 150, joint.md section 4; the caudal one is half of it",
                 [](SampledDog &dog, double v) { dog.variation.cruciate_pre_strain_factor *= v / 2; }});
  all.push_back({"layer_modulus", "MPa", around(s.joint.layer_modulus_mpa, 5.0 / 8, 10.0 / 8), Label::memory,
                 "5 to 10 for quick loading, joint.md section 5; default 8",
                 [](SampledDog &dog, double v) { dog.scenario.joint.layer_modulus_mpa = v; }});
  all.push_back({"layer_thickness", "mm", around(s.joint.layer_thickness_mm, 1.2 / 2, 2.6 / 2), Label::second_hand,
                 "cartilage of the stifle 0.6 to 1.3, two layers, joint.md section 5 (brief); default 2",
                 [](SampledDog &dog, double v) { dog.scenario.joint.layer_thickness_mm = v; }});
  all.push_back({"segment_mass_factor", "", Distribution::normal(1, 0.12), Label::second_hand,
                 "crus 0.0141 +- 0.0016 and foot 0.0070 +- 0.0009 of body mass, alternatives.md section 6; body mass is held",
                 [](SampledDog &dog, double v) { dog.variation.segment_mass_factor *= v; }});
}

/// The one spring that stands for collaterals, capsule and meniscal rim in the plane.
void add_secondary(Inputs &all, const Scenario &s)
{
  all.push_back({"secondary_slack", "mm", around(s.joint.secondary_slack_mm, 5.0 / 7, 9.0 / 7), Label::assumption,
                 "default 7, +- 2; no source", [](SampledDog &dog, double v) { dog.scenario.joint.secondary_slack_mm = v; }});
  all.push_back({"secondary_stiffness", "N/mm", around(s.joint.secondary_stiffness_n_per_mm, 0.5, 1.5), Label::assumption,
                 "default 40, +- half of it; no source",
                 [](SampledDog &dog, double v) { dog.scenario.joint.secondary_stiffness_n_per_mm = v; }});
}

/// A user's bones are those of one dog and their beds are made once: the slope and the layer of cartilage are held.
void hold_shape(Inputs &all)
{
  for (const char *held : {"native_plateau_angle", "observer_error", "layer_modulus", "layer_thickness"})
    all.erase(std::remove_if(all.begin(), all.end(), [&](const UncertainInput &i) { return i.name == held; }), all.end());
}

/// What the secondary spring stands for, in three dimensions. Rim and horns of the menisci, and the shapes, are held.
void add_spatial(Inputs &all)
{
  all.push_back({"capsule_slack_shift", "", Distribution::uniform(-0.03, 0.03), Label::assumption,
                 "strain by which every bundle of the capsule is looser than in the table of parts; no source",
                 [](SampledDog &dog, double v) { dog.variation.capsule_slack_shift += v; }});
  all.push_back({"collateral_stiffness", "N/mm", Distribution::uniform(60, 100), Label::memory,
                 "medial 60 to 100 at 30 kg, joint.md section 4; the lateral one changes by the same factor",
                 [](SampledDog &dog, double v) { dog.variation.collateral_stiffness_factor *= v / 80; }});
  all.push_back({"meniscus_hoop_modulus", "MPa", Distribution::uniform(50, 150), Label::memory,
                 "50 to 150 along the fibres, human and bovine, joint.md section 5",
                 [](SampledDog &dog, double v) { dog.variation.hoop_modulus_factor *= v / 100; }});
}
/// Line and crimp of a suture as benched. The line's stiffness goes into the anchor that stands in series with it.
void add_suture(Inputs &all, const Scenario &s)
{
  const SutureMaterial line = find_suture_material(s.suture.line);
  all.push_back({"suture_tension_left", "", Distribution::normal(line.tension_left, line.tension_left_sd), Label::abstract,
                 "part of the pre-tension left after the loop is closed, Vet Surg 2011;40:334, alternatives.md section 2a",
                 [line](SampledDog &dog, double v) { dog.scenario.suture.pre_tension_n *= v / line.tension_left; }});
  all.push_back({"suture_line_stiffness", "N/mm", Distribution::normal(line.stiffness_n_per_mm, line.stiffness_sd),
                 Label::abstract, "Vet Surg 2011;40:334, n = 10, alternatives.md section 2a",
                 [line](SampledDog &dog, double v)
                 {
                   double &anchor = dog.scenario.suture.anchor_stiffness_n_per_mm;
                   anchor = 1 / (1 / anchor + 1 / v - 1 / line.stiffness_n_per_mm);
                 }});
}
} // namespace

Distribution Distribution::normal(double mean, double standard_deviation) { return {Shape::normal, mean, standard_deviation}; }

Distribution Distribution::uniform(double low, double high) { return {Shape::uniform, low, high}; }

double Distribution::quantile(double u) const
{
  if (shape_ == Shape::uniform)
    return first_ + u * (second_ - first_);
  const boost::math::normal standard;
  const double below = boost::math::cdf(standard, -cut);
  return first_ + second_ * boost::math::quantile(standard, below + u * (1 - 2 * below));
}

double Distribution::low() const { return shape_ == Shape::uniform ? first_ : first_ - cut * second_; }
double Distribution::high() const { return shape_ == Shape::uniform ? second_ : first_ + cut * second_; }

std::string Distribution::text() const
{
  return shape_ == Shape::uniform ? fmt::format("uniform {:.4g} to {:.4g}", first_, second_)
                                  : fmt::format("normal {:.4g} +- {:.3g}, cut at {:g} SD", first_, second_, cut);
}

std::vector<UncertainInput> uncertain_inputs(const Scenario &scenario)
{
  Inputs all;
  add_slope(all, scenario);
  add_extensor(all, scenario);
  add_gait(all);
  add_muscles(all, scenario);
  add_tissue(all, scenario);
  if (scenario.joint.dimension == 2)
    add_secondary(all, scenario);
  else
    add_spatial(all);
  if (has_repair(scenario, RepairKind::suture))
    add_suture(all, scenario);
  if (scenario.joint.femur_surface)
    hold_shape(all);
  return all;
}

SampledDog sampled_dog(const SampledDog &nominal, const std::vector<UncertainInput> &inputs, const std::vector<double> &point)
{
  SampledDog dog = nominal;
  for (std::size_t i = 0; i < inputs.size(); ++i)
    inputs[i].apply(dog, inputs[i].distribution.quantile(point.at(i)));
  return dog;
}
} // namespace stifle
