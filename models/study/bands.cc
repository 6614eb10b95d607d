#include "models/study/bands.h"
#include "models/core/error.h"
#include "models/study/design_points.h"
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace stifle
{
namespace
{
constexpr double missing = std::numeric_limits<double>::quiet_NaN(); ///< never leaves this file: fill() drops it

constexpr double largest_failed_part = 0.05; ///< more could fill a whole tail of the band

struct Quantity
{
  const char *ligament, *name, *unit;
};
constexpr std::array<Quantity, 4> quantities = {{{"intact", "thrust", "N"},
                                                 {"intact", "cruciate_cranial", "N"},
                                                 {"torn", "cruciate_caudal", "N"},
                                                 {"torn", "translation_cranial", "mm"}}};
using Values = std::array<double, quantities.size()>;
constexpr Values nothing = {missing, missing, missing, missing};

/// The rows of one bone.
struct BoneKey
{
  std::string repair;
  double target_deg;
  std::vector<StudyInstant> instants;
};

StudyInstant instant_of(const JointRow &row) { return {row.set, row.activity, row.percent.value_or(0)}; }

template <class T> void add_once(std::vector<T> &list, const T &item)
{
  if (std::find(list.begin(), list.end(), item) == list.end())
    list.push_back(item);
}

std::vector<BoneKey> bone_keys(const std::vector<JointRow> &rows)
{
  std::vector<BoneKey> bones;
  for (const JointRow &row : rows)
  {
    if (!can_sample(row.repair))
      continue;
    auto bone =
        std::find_if(bones.begin(), bones.end(),
                     [&](const BoneKey &b) { return b.repair == row.repair && b.target_deg == row.plateau_angle_target_deg; });
    if (bone == bones.end())
      bone = bones.insert(bones.end(), {row.repair, row.plateau_angle_target_deg, {}});
    add_once(bone->instants, instant_of(row));
  }
  return bones;
}

/// Draws a dog for an index.
class Draws
{
public:
  Draws(const Scenario &scenario, const std::vector<Activity> &activities)
      : inputs_(uncertain_inputs(scenario)), points_(study_points(scenario, inputs_.size())),
        nominal_(nominal_dog(scenario, activities))
  {
  }
  std::size_t size() const { return points_.size(); }
  SampledDog dog(std::size_t sample) const { return sampled_dog(nominal_, inputs_, points_[sample]); }

private:
  std::vector<UncertainInput> inputs_;
  std::vector<std::vector<double>> points_;
  SampledDog nominal_;
};

/// Runs `compute`; Error means that this dog cannot be: its values stay missing.
template <class Compute> void unless_impossible(const Compute &compute)
{
  try
  {
    compute();
  }
  catch (const Error &)
  {
  }
}

/// Place of the intact unoperated tibia, for rows without repair [0] and with levelling [1].
using Reference = std::array<double, 2>;

Reference reference_of(const SampledDog &dog, double measured_deg, const StudyInstant &instant)
{
  Reference reference = {missing, missing};
  const auto place = [&](const SampledBone &bone)
  {
    const JointState state = solve_sampled(dog, bone, LigamentState::intact, instant);
    return state.converged ? state.translation_cranial_mm : missing;
  };
  unless_impossible([&] { reference[0] = place(sampled_bone(dog, "none", measured_deg)); });
  unless_impossible([&] { reference[1] = place(unoperated_bone(dog)); });
  return reference;
}

Values values_of(const SampledDog &dog, const SampledBone &bone, const StudyInstant &instant, double reference_mm)
{
  Values v = nothing;
  const JointState intact = solve_sampled(dog, bone, LigamentState::intact, instant);
  if (!intact.converged)
    return v;
  v[0] = intact.thrust_n;
  v[1] = intact.cruciate_cranial_n;
  const JointState torn = solve_sampled(dog, bone, LigamentState::torn, instant);
  if (!torn.converged)
    return v;
  v[2] = torn.cruciate_caudal_n;
  v[3] = torn.translation_cranial_mm - reference_mm;
  return v;
}

void fill(Band &band, std::vector<double> values)
{
  band.samples = values.size();
  values.erase(std::remove_if(values.begin(), values.end(), [](double v) { return !std::isfinite(v); }), values.end());
  band.failed = band.samples - values.size();
  if (values.empty() || static_cast<double>(band.failed) > largest_failed_part * static_cast<double>(band.samples))
    return;
  std::sort(values.begin(), values.end());
  band.low = value_at(values, 0.05);
  band.median = value_at(values, 0.5);
  band.high = value_at(values, 0.95);
}

/// [instant][sample] of one bone to its bands.
void add_bands(std::vector<Band> &bands, const BoneKey &bone, const std::vector<std::vector<Values>> &values)
{
  for (std::size_t i = 0; i < bone.instants.size(); ++i)
    for (std::size_t q = 0; q < quantities.size(); ++q)
    {
      Band band;
      band.plateau_angle_target_deg = bone.target_deg;
      band.ligament = quantities[q].ligament;
      band.repair = bone.repair;
      band.instant = bone.instants[i];
      band.quantity = quantities[q].name;
      band.unit = quantities[q].unit;
      std::vector<double> column;
      for (const Values &v : values[i])
        column.push_back(v[q]);
      fill(band, std::move(column));
      bands.push_back(std::move(band));
    }
}

class BandStudy
{
public:
  BandStudy(const Scenario &scenario, const std::vector<Activity> &activities, const std::vector<JointRow> &rows,
            const StudyOptions &options)
      : measured_deg_(scenario.tibia.plateau_angle_deg), draws_(scenario, activities), bones_(bone_keys(rows)),
        threads_(options.threads), counter_(options.progress, draws_.size() * (1 + bones_.size()))
  {
    for (const BoneKey &bone : bones_)
      for (const StudyInstant &instant : bone.instants)
        add_once(instants_, instant);
  }

  std::vector<Band> run()
  {
    references_.assign(instants_.size(), std::vector<Reference>(draws_.size()));
    for_each_index(draws_.size(), threads_,
                   [&](std::size_t sample)
                   {
                     const SampledDog dog = draws_.dog(sample);
                     for (std::size_t i = 0; i < instants_.size(); ++i)
                       references_[i][sample] = reference_of(dog, measured_deg_, instants_[i]);
                     counter_.add_one();
                   });
    std::vector<Band> bands;
    for (const BoneKey &bone : bones_)
      add_bands(bands, bone, solve(bone));
    return bands;
  }

private:
  std::vector<std::vector<Values>> solve(const BoneKey &key)
  {
    std::vector<std::vector<Values>> values(key.instants.size(), std::vector<Values>(draws_.size(), nothing));
    const std::size_t side = key.repair == "none" ? 0 : 1;
    for_each_index(draws_.size(), threads_,
                   [&](std::size_t sample)
                   {
                     const SampledDog dog = draws_.dog(sample);
                     unless_impossible(
                         [&]
                         {
                           const SampledBone bone = sampled_bone(dog, key.repair, key.target_deg);
                           for (std::size_t i = 0; i < key.instants.size(); ++i)
                           {
                             const std::size_t at =
                                 std::find(instants_.begin(), instants_.end(), key.instants[i]) - instants_.begin();
                             const double reference_mm = references_[at][sample][side];
                             unless_impossible([&] { values[i][sample] = values_of(dog, bone, key.instants[i], reference_mm); });
                           }
                         });
                     counter_.add_one();
                   });
    return values;
  }

  double measured_deg_;
  Draws draws_;
  std::vector<BoneKey> bones_;
  std::vector<StudyInstant> instants_;
  std::vector<std::vector<Reference>> references_; ///< [instant][sample]
  int threads_;
  ProgressCounter counter_;
};
} // namespace

double value_at(const std::vector<double> &sorted, double part)
{
  const double place = part * static_cast<double>(sorted.size() - 1);
  const std::size_t below = static_cast<std::size_t>(place), above = std::min(below + 1, sorted.size() - 1);
  return sorted[below] + (place - static_cast<double>(below)) * (sorted[above] - sorted[below]);
}

std::vector<std::vector<double>> study_points(const Scenario &scenario, std::size_t n_inputs)
{
  const StudyParameters &study = scenario.study;
  return design_points(design(study.design), static_cast<std::size_t>(study.samples), 2 * n_inputs,
                       static_cast<std::uint64_t>(study.seed));
}

SampledDog nominal_dog(const Scenario &scenario, const std::vector<Activity> &activities)
{
  return {scenario, {}, activities, 0};
}

std::vector<StudyInstant> neutral_instants(const std::vector<Activity> &activities)
{
  std::vector<StudyInstant> instants;
  for (const Activity &activity : activities)
    instants.push_back({LoadSet::stance, activity.name, 50});
  for (const LoadSet set : {LoadSet::press, LoadSet::axial, LoadSet::tendon})
    instants.push_back({set, "", 0});
  return instants;
}

std::vector<Band> sample_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                               const std::vector<JointRow> &rows, const StudyOptions &options)
{
  if (scenario.study.samples < 1)
    return {};
  return BandStudy(scenario, activities, rows, options).run();
}

std::vector<Band> sample_neutral_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                                       const std::vector<StudyInstant> &instants, const StudyOptions &options)
{
  if (scenario.study.samples < 1)
    return {};
  const Draws draws(scenario, activities);
  ProgressCounter counter(options.progress, draws.size() * instants.size());
  std::vector<Band> bands;
  for (const StudyInstant &instant : instants)
  {
    const double guess = scanned_neutral_deg(nominal_dog(scenario, activities), instant).value_or(10);
    std::vector<double> values(draws.size(), missing);
    for_each_index(draws.size(), options.threads,
                   [&](std::size_t sample)
                   {
                     SampledDog dog = draws.dog(sample);
                     dog.scenario.limb.hamstrings_n = scenario.limb.hamstrings_n; // as in the number beside the band
                     unless_impossible([&] { values[sample] = sampled_neutral_deg(dog, instant, guess).value_or(missing); });
                     counter.add_one();
                   });
    Band band;
    band.ligament = "intact";
    band.repair = "levelling";
    band.instant = instant;
    band.quantity = "neutral_plateau_angle";
    band.unit = "deg";
    fill(band, std::move(values));
    bands.push_back(std::move(band));
  }
  return bands;
}

void set_thrust_bands(std::vector<JointRow> &rows, const std::vector<Band> &bands)
{
  for (JointRow &row : rows)
    for (const Band &band : bands)
      if (band.quantity == "thrust" && band.repair == row.repair && band.instant == instant_of(row) &&
          band.plateau_angle_target_deg == row.plateau_angle_target_deg)
      {
        row.thrust_low_n = band.low;
        row.thrust_high_n = band.high;
      }
}
} // namespace stifle
