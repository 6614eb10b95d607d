#include "scenarios/app/study_run.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "scenarios/app/closing.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/prepare.h"
#include "scenarios/app/run_events.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/store.h"
#include "scenarios/app/study_merge.h"
#include "scenarios/app/versions.h"
#include "scenarios/app/workers.h"
#include "solver/cg_workers.h"
#include <chrono>
#include <filesystem>
#include <fmt/format.h>
#include <thread>
#include <unistd.h>

namespace stifle::app
{
namespace
{
namespace fs = std::filesystem;

/// The line of the stage: what is finished, by whomever.
class Count
{
public:
  explicit Count(const StudyCases &cases) : cases_(cases), finished_(cases.size()), stage_("study", double(cases.size()))
  {
    stage_.say("cases of the study");
    for (std::size_t i = 0; i < cases.size(); ++i)
      if (cases.finished(i))
        finished_[i] = true, stage_.skip(1), ++before_;
  }

  /// Looks at a part of a large study each time.
  void look()
  {
    constexpr std::size_t at_a_time = 5000;
    for (std::size_t looked = 0; looked < std::min(at_a_time, cases_.size()); ++looked, next_ = (next_ + 1) % cases_.size())
      if (!finished_[next_] && cases_.finished(next_))
        finished_[next_] = true, stage_.add(1);
  }

  /// Looks at all that are not known to be finished.
  std::size_t left()
  {
    std::size_t number = 0;
    for (std::size_t i = 0; i < cases_.size(); ++i)
    {
      if (!finished_[i] && cases_.finished(i))
        finished_[i] = true, stage_.add(1);
      number += !finished_[i];
    }
    return number;
  }

  void end() { stage_.end(fmt::format("{} cases{}", cases_.size(), before_ > 0 ? fmt::format(", {} finished by an earlier run", before_) : "")); }

private:
  const StudyCases &cases_;
  std::vector<bool> finished_;
  std::size_t       next_ = 0, before_ = 0;
  Stage             stage_;
};

class StudyRun
{
public:
  StudyRun(const Study &study, const RunOptions &options)
    : study_(study), options_(options), cases_(start(study, options), options)
  {}

  /// In a worker.
  int work()
  {
    ClaimBoard board(claims());
    work_off(shared(board), board, 1, !options_.no_wait);
    return 0;
  }

  int all()
  {
    {
      Count count(cases_);
      bool killed = true;
      for (int batch = 0; killed && batch < most_batches; ++batch) // as long as something brings all workers down
        killed = set_to_work(count);
      if (const std::size_t left = count.left(); left > 0 && options_.no_wait)
        throw LeftToOthers(left);
      else if (left > 0)
        throw Error(fmt::format("{} cases are not finished: the workers ended, see {}/logs; the same command takes up", left, options_.out));
      count.end();
    }
    const MergedStudy merged = merge_study(study_, cases_, options_.out, options_.only_joint);
    std::error_code   error; // whoever else saw all finished removes it too
    fs::remove_all(claims(), error);
    log("merge", fmt::format("tables of {} variants merged", study_.size()));
    std::string failed;
    if (merged.failed > 0)
      failed = fmt::format("FAILED: {}/summary.json says why. A case is tried again when its file in variants/NAME/cases is removed.\n",
                           options_.out);
    print_closing(fmt::format("\n{0}{1}\nEach variant has its tables in {2}/variants; for its pictures and report: "
                              "stifle report {2}/variants/NAME\n{3}{4}\n",
                              merged.table, failed, options_.out, results_line(options_.out), caution()));
    return tell_done(merged.failed > 0 ? 1 : 0, options_.out, merged.least);
  }

private:
  /// Folder, log and study-wide files; before the cases, whose marks depend on nothing in the folder. Returns the study.
  static const Study &start(const Study &study, const RunOptions &options)
  {
    fs::create_directories(options.out + "/logs");
    open_log(options.out + "/logs", fmt::format("{}.{}.txt", host_name(), ::getpid()));
    log("start", fmt::format("stifle {} | {} | {}", program_version(), study_words(study), caution()));
    settle_folder(options.out, study.scenario);
    fs::create_directories(options.out + "/claims");
    return study;
  }

  std::string claims() const { return options_.out + "/claims"; }

  SharedWork shared(const ClaimBoard &board) const
  {
    return {cases_.size(), [&](std::size_t i) { return cases_.name(i); }, [&](std::size_t i) { return cases_.finished(i); },
            [&](std::size_t i) { return cases_.run(i, board); }};
  }

  static constexpr int most_batches = 100;

  /// True when workers were killed and cases are left.
  bool set_to_work(Count &count) const
  {
    std::vector<std::string> arguments = {"run", options_.file, "--out", options_.out, "--threads", "1", "--solver", options_.solver};
    if (options_.only_joint)
      arguments.insert(arguments.end(), {"--only", "joint"});
    if (options_.no_wait)
      arguments.push_back("--no-wait");
    Workers workers(int(std::min<std::size_t>(std::size_t(options_.threads), std::max<std::size_t>(1, count.left()))), arguments);
    while (workers.any_left())
    {
      std::this_thread::sleep_for(std::chrono::milliseconds(200));
      count.look();
      stop_if_interrupted();
    }
    return workers.killed() > 0 && count.left() > 0;
  }

  const Study &study_;
  RunOptions   options_;
  StudyCases   cases_;
};
} // namespace

std::string study_words(const Study &study)
{
  std::string varied;
  for (const VariedKey &key : study.scenario.study.vary)
    varied += fmt::format("{} {} x {}", varied.empty() ? "" : ",", key.values.size(), key.path);
  const std::string dogs = study.scenario.study.dogs > 0 ? fmt::format("{} {} drawn dogs", varied.empty() ? "" : ",", study.scenario.study.dogs) : "";
  return fmt::format("a study of {} variants:{}{}", study.size(), varied, dogs);
}

std::vector<std::string> check_variants(const Study &study)
{
  VariantProblems          problems(study);
  std::vector<std::string> notes;
  for (std::size_t i = 0; i < study.combinations.size(); ++i)
    try
    {
      const Scenario &scenario = study.combinations[i].scenario;
      chosen_activities(scenario, study.file);
      for (const std::string &note : check_geometry(scenario, study.file))
        if (std::find(notes.begin(), notes.end(), note) == notes.end())
          notes.push_back(note);
    }
    catch (const InputError &error)
    {
      problems.add(i, error);
    }
  problems.finish();
  return notes;
}

int run_study(const Study &study, const RunOptions &options)
{
  if (options.refine)
    throw InputError({InputProblem{study.file, 0, 0, "--refine looks at one scenario, not at a study", "", "the scenario.yaml of a variant", "", "study"}});
  if (solver::several_processes())
    throw InputError({InputProblem{study.file, 0, 0, "a study has worker processes of its own (--threads)", "mpirun", "stifle run without mpirun", "", "study"}});
  if (is_worker())
    return StudyRun(study, options).work();
  const std::string checked = options.out + "/variants/checked", mark = fingerprint(study.scenario);
  if (!fs::exists(checked) || read_file(checked) != mark) // once for all processes: it takes a second a variant
  {
    const std::vector<std::string> notes = check_variants(study);
    fs::create_directories(options.out + "/variants");
    write_file(checked, mark);
    for (const std::string &note : notes)
      log("check", note);
  }
  return StudyRun(study, options).all();
}
} // namespace stifle::app
