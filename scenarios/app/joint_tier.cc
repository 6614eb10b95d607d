#include "scenarios/app/joint_tier.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/joint/opposite_joint.h"
#include "models/joint/passive.h"
#include "models/joint/posture_sweep.h"
#include "models/joint/side_by_side.h"
#include "models/joint/tables.h"
#include "models/joint/wear.h"
#include "models/study/study_tables.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/stages.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
class JointRun
{
public:
  JointRun(const Scenario &scenario, const std::vector<Activity> &activities, const std::string &folder, int threads)
      : scenario_(scenario), activities_(activities), folder_(folder), threads_(threads)
  {
  }

  JointTier all()
  {
    Stage stage("joint", of_rows + of_neutral + of_postures + of_opposite + of_passive + of_wear);
    tier_.rows = joint_rows(scenario_, activities_, options(stage, of_rows, "bones and ligament states"));
    write_joint_tables(folder_, tier_.rows);
    count(tier_.rows, "joint.csv", [](const JointRow &row) { return row.state.converged; });
    neutral_angles(stage);
    other_tables(stage);
    stage.end(fmt::format("{} states of the joint, {} did not converge", states_, failed_));
    draw_study();
    return std::move(tier_);
  }

private:
  /// Units of the stages: the parts of their time on the main job and on the same with 32 samples, per cent.
  static constexpr double of_rows = 55, of_neutral = 13, of_postures = 15, of_opposite = 2, of_passive = 11, of_wear = 4;
  static constexpr double of_bands = 25, of_neutral_bands = 25, of_drivers = 50;

  SweepOptions options(Stage &stage, double units, const std::string &pieces) const { return {threads_, stage.part(units, pieces)}; }
  StudyOptions study_options(Stage &stage, double units, const std::string &pieces) const
  {
    return {threads_, stage.part(units, pieces)};
  }
  void write(const std::string &name, const Table &table) const { write_file(folder_ + "/" + name, table.csv()); }

  template <class Rows, class Good> void count(const Rows &rows, const std::string &name, const Good &good)
  {
    const auto failed = std::count_if(rows.begin(), rows.end(), [&](const auto &row) { return !good(row); });
    log("joint", fmt::format("{}: {} rows, {} did not converge", name, rows.size(), failed));
    states_ += rows.size();
    failed_ += static_cast<std::size_t>(failed);
    stop_if_interrupted();
  }

  /// Load sets without hamstrings, stance of a walk; then this dog in its activities.
  void neutral_angles(Stage &stage)
  {
    Scenario base = scenario_;
    base.limb.hamstrings_n = 0;
    const std::vector<Activity> shipped = default_activities();
    const Activity *own = find_activity(activities_, "walk"), *walk = own ? own : find_activity(shipped, "walk");
    const std::array<LoadSet, 4> sets = {LoadSet::axial, LoadSet::tendon, LoadSet::press, LoadSet::stance};
    const Anatomy anatomy = make_anatomy(scenario_);
    std::vector<std::optional<double>> found(sets.size() + activities_.size());
    ProgressCounter counter(stage.part(of_neutral, "neutral slopes"), found.size());
    for_each_index(found.size(), threads_,
                   [&](std::size_t i)
                   {
                     const bool by_set = i < sets.size();
                     const Activity *activity = by_set ? walk : &activities_[i - sets.size()];
                     found[i] = neutral_plateau_angle(by_set ? base : scenario_, anatomy, by_set ? sets[i] : LoadSet::stance,
                                                      activity, 50);
                     if (found[i]) // a root at 1e-12 deg is the 0 it stands for, not -0
                       found[i] = std::abs(*found[i]) < 1e-9 ? 0.0 : degrees(*found[i]);
                     counter.add_one();
                   });
    for (std::size_t i = 0; i < sets.size(); ++i)
      tier_.neutral.by_load_set.emplace_back(to_string(sets[i]), found[i]);
    for (std::size_t i = 0; i < activities_.size(); ++i)
      tier_.neutral.by_activity.emplace_back(activities_[i].name, found[sets.size() + i]);
  }

  void draw_study()
  {
    if (scenario_.study.samples < 1)
      return;
    if (scenario_.joint.femur_surface)
      log("study", "the bones of tibia.surface are those of one dog: plateau angle and cartilage layer are held, all else is drawn");
    Stage stage("sampling", of_bands + of_neutral_bands + of_drivers);
    std::vector<Band> bands =
        sample_bands(scenario_, activities_, tier_.rows, study_options(stage, of_bands, "samples of bones"));
    set_thrust_bands(tier_.rows, bands);
    write_joint_tables(folder_, tier_.rows);
    tier_.neutral.bands =
        sample_neutral_bands(scenario_, activities_, neutral_lines(activities_), study_options(stage, of_neutral_bands, "neutral slopes"));
    for (const NeutralBand &band : tier_.neutral.bands)
      bands.insert(bands.end(), {band.angle, band.measured});
    write("bands.csv", bands_table(bands));
    write("sensitivity.csv", sensitivity_table(rank_drivers(scenario_, activities_, study_options(stage, of_drivers, "dogs"))));
    write("uncertain_inputs.csv", inputs_table(uncertain_inputs(scenario_)));
    report(bands);
    stage.end(fmt::format("{} samples, {} bands", scenario_.study.samples, bands.size()));
  }

  void report(const std::vector<Band> &bands) const
  {
    std::size_t drawn = 0, failed = 0, dislocated = 0;
    for (const Band &band : bands)
    {
      drawn += band.samples;
      failed += band.failed;
      dislocated += band.dislocated;
    }
    log("study", fmt::format("{} samples; {} of {} values in {} bands not found, {} of them dislocations", scenario_.study.samples,
                             failed, drawn, bands.size(), dislocated));
    for (const std::string &sentence : empty_bands(bands))
      log("study", sentence);
  }

  void other_tables(Stage &stage)
  {
    write("repairs.csv", side_by_side_table(side_by_side(scenario_, tier_.rows)));
    const auto postures = posture_rows(scenario_, activities_, options(stage, of_postures, "bones through the postures"));
    write("posture.csv", posture_table(postures));
    write("posture_pose.csv", posture_pose_table(postures));
    count(postures, "posture.csv", [](const PostureRow &row) { return row.state.converged; });
    const auto opposite = opposite_joint_rows(scenario_, activities_, options(stage, of_opposite, "opposite limbs"));
    write("opposite.csv", opposite_joint_table(opposite));
    for (const std::string &sentence : opposite_joint_left_out(scenario_, activities_))
      log("joint", "opposite.csv leaves out " + sentence);
    count(opposite, "opposite.csv", [](const OppositeJointRow &row) { return row.state.converged; });
    if (scenario_.joint.dimension != 3)
      return log("joint", "passive.csv and wear.csv need joint.dimension 3: not written");
    const auto passive = passive_rows(scenario_, options(stage, of_passive, "joints in the examiner's hands"));
    write("passive.csv", passive_table(passive));
    count(passive, "passive.csv", [](const PassiveRow &row) { return row.state.converged; });
    const auto wear = wear_rows(scenario_, activities_, options(stage, of_wear, "strides"));
    write("wear.csv", wear_table(wear));
    count(wear, "wear.csv", [](const WearRow &row) { return row.complete; });
  }

  const Scenario &scenario_;
  const std::vector<Activity> &activities_;
  std::string folder_;
  int threads_;
  JointTier tier_;
  std::size_t states_ = 0, failed_ = 0; ///< rows of the tables
};
} // namespace

JointTier run_joint_tier(const Scenario &scenario, const std::vector<Activity> &activities, const std::string &folder,
                         int threads)
{
  return JointRun(scenario, activities, folder, threads).all();
}
} // namespace stifle::app
