#include "models/study/bands.h"
#include "models/core/error.h"
#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace stifle
{
namespace
{
struct Quantity
{
  const char *ligament, *name, *unit;
};
constexpr std::array<Quantity, 5> quantities = {{{"intact", "thrust", "N"},
                                                 {"intact", "cruciate_cranial", "N"},
                                                 {"torn", "cruciate_caudal", "N"},
                                                 {"torn", "translation_cranial", "mm"},
                                                 {"torn", "repair_load", "N"}}};
constexpr std::size_t repair_load = 4;

/// Of one drawn dog; what is not found has one failure.
struct Values
{
  std::array<double, quantities.size()> of = {not_found, not_found, not_found, not_found, not_found};
  Failure failure;
};

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
    auto bone =
        std::find_if(bones.begin(), bones.end(),
                     [&](const BoneKey &b) { return b.repair == row.repair && b.target_deg == row.plateau_angle_target_deg; });
    if (bone == bones.end())
      bone = bones.insert(bones.end(), {row.repair, row.plateau_angle_target_deg, {}});
    add_once(bone->instants, instant_of(row));
  }
  return bones;
}

/// Runs `compute`; Error means that this dog or its repair cannot be.
template <class Compute> void or_failure(Failure &failure, const Compute &compute)
{
  try
  {
    compute();
  }
  catch (const Error &error)
  {
    failure.reason = error.what();
  }
}

/// Place of the intact unoperated tibia of native angle as the key says [0] and as drawn [1].
using Reference = std::array<double, 2>;

Reference reference_of(const SampledDog &dog, double measured_deg, const StudyInstant &instant)
{
  Reference reference = {not_found, not_found};
  Failure ignored; // the rows of this dog will fail for the same reason
  const auto place = [&](const SampledBone &bone)
  {
    const JointState state = solve_sampled(dog, bone, LigamentState::intact, instant);
    return state.converged ? state.translation_cranial_mm : not_found;
  };
  or_failure(ignored, [&] { reference[0] = place(sampled_bone(dog, "none", measured_deg)); });
  or_failure(ignored, [&] { reference[1] = place(unoperated_bone(dog)); });
  return reference;
}

void add_values(Values &v, const SampledDog &dog, const SampledBone &bone, const StudyInstant &instant, double reference_mm)
{
  const auto found = [&v](const JointState &state)
  {
    if (!state.converged)
      v.failure = {state.reason, state.dislocates};
    return state.converged;
  };
  const JointState intact = solve_sampled(dog, bone, LigamentState::intact, instant);
  if (!found(intact))
    return;
  v.of[0] = intact.thrust_n;
  v.of[1] = intact.cruciate_cranial_n;
  const JointState torn = solve_sampled(dog, bone, LigamentState::torn, instant);
  if (!found(torn))
    return;
  v.of[2] = torn.cruciate_caudal_n;
  v.of[3] = torn.translation_cranial_mm - reference_mm;
  v.of[repair_load] = torn.repair_load_n;
  if (!std::isfinite(reference_mm))
    v.failure.reason = "the intact unoperated joint of this dog is not found";
}

/// [instant][sample] of one bone to its bands.
void add_bands(std::vector<Band> &bands, const BoneKey &bone, const std::vector<std::vector<Values>> &values)
{
  const std::size_t n = bone.repair == to_string(RepairKind::suture) ? quantities.size() : repair_load;
  for (std::size_t i = 0; i < bone.instants.size(); ++i)
    for (std::size_t q = 0; q < n; ++q)
    {
      Gathered gathered;
      for (const Values &v : values[i])
        gathered.add(v.of[q], v.failure);
      Band band;
      static_cast<Spread &>(band) = gathered.spread(largest_failed_part);
      band.plateau_angle_target_deg = bone.target_deg;
      band.ligament = quantities[q].ligament;
      band.repair = bone.repair;
      band.instant = bone.instants[i];
      band.quantity = quantities[q].name;
      band.unit = quantities[q].unit;
      bands.push_back(std::move(band));
    }
}

class BandStudy
{
public:
  BandStudy(const Scenario &scenario, const std::vector<Activity> &activities, const std::vector<JointRow> &rows,
            const StudyOptions &options)
      : measured_deg_(scenario.tibia.plateau_angle_deg), draws_(scenario, activities, options.inputs), bones_(bone_keys(rows)),
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
    std::vector<std::vector<Values>> values(key.instants.size(), std::vector<Values>(draws_.size()));
    for_each_index(draws_.size(), threads_,
                   [&](std::size_t sample)
                   {
                     solve_sample(key, sample, values);
                     counter_.add_one();
                   });
    return values;
  }

  void solve_sample(const BoneKey &key, std::size_t sample, std::vector<std::vector<Values>> &values) const
  {
    const SampledDog dog = draws_.dog(sample);
    const std::size_t side = turns_plateau(key.repair) ? 1 : 0;
    std::optional<SampledBone> bone;
    Failure impossible;
    or_failure(impossible, [&] { bone = sampled_bone(dog, key.repair, key.target_deg); });
    for (std::size_t i = 0; i < key.instants.size(); ++i)
    {
      Values &v = values[i][sample];
      v.failure = impossible;
      if (!bone)
        continue;
      const std::size_t at = std::find(instants_.begin(), instants_.end(), key.instants[i]) - instants_.begin();
      or_failure(v.failure, [&] { add_values(v, dog, *bone, key.instants[i], references_[at][sample][side]); });
    }
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

std::vector<Band> sample_bands(const Scenario &scenario, const std::vector<Activity> &activities,
                               const std::vector<JointRow> &rows, const StudyOptions &options)
{
  if (scenario.study.samples < 1)
    return {};
  return BandStudy(scenario, activities, rows, options).run();
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

std::vector<std::string> empty_bands(const std::vector<Band> &bands)
{
  std::map<std::pair<std::string, std::string>, std::size_t> empty;
  for (const Band &band : bands)
    if (!band.low)
      ++empty[{band.repair, band.reason}];
  std::vector<std::string> sentences;
  for (const auto &[key, number] : empty)
    sentences.push_back(
        fmt::format("repair {}: {} bands left empty, too many samples failed: {}", key.first, number, key.second));
  return sentences;
}
} // namespace stifle
