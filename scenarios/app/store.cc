#include "scenarios/app/store.h"
#include "models/core/content_hash.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/versions.h"
#include <algorithm>
#include <cstdint>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <sys/file.h>
#include <unistd.h>

namespace stifle::app
{
namespace
{
namespace fs = std::filesystem;

/// Only one process at a time starts in a folder. The system frees the lock of a process that is killed; a file system that cannot
/// lock leaves it out: what is cleared twice is then computed twice.
class StartLock
{
public:
  explicit StartLock(const std::string &folder)
  {
    fs::create_directories(folder + "/cases");
    file_ = ::open((folder + "/cases/.lock").c_str(), O_CREAT | O_RDWR | O_CLOEXEC, 0644);
    if (file_ >= 0 && ::flock(file_, LOCK_EX) != 0)
      log("start", "this file system cannot lock " + folder + "/cases/.lock");
  }
  ~StartLock() { ::close(file_); }
  StartLock(const StartLock &) = delete;
  StartLock &operator=(const StartLock &) = delete;

private:
  int file_ = -1;
};

std::string note_of(const std::string &folder) { return folder + "/cases/fingerprint"; }
} // namespace

std::string fingerprint(const Scenario &scenario)
{
  Scenario base = scenario; // a study asks for the mark of each of its dogs: all but the last step is the same
  base.study.dog = 0;
  const std::string table = scenario.limb.activity_table.value_or(data_file("models/limb/activities.yaml"));
  std::uint64_t     value = content_hash(fmt::format("{:016x}", program_hash()), content_hash(echo_scenario(base)));
  std::vector<std::string> files = {table, data_file("models/parts/materials.yaml"),
                                    scenario.joint.landmarks.value_or(data_file("models/parts/joint_parts.yaml"))};
  for (const auto &file : {scenario.tibia.surface, scenario.tibia.inner_surface, scenario.joint.femur_surface, scenario.plate.file,
                           scenario.radiograph.landmarks})
    if (file)
      files.push_back(*file);
  for (const std::string &file : files)
    value = content_hash(content(file), value);
  return fingerprint_of_dog(fmt::format("{:016x}", value), scenario.study.dog);
}

std::string fingerprint_of_dog(const std::string &without_dog, int dog)
{
  return dog < 1 ? without_dog : fmt::format("{:016x}", content_hash(fmt::format("{} dog {}", without_dog, dog)));
}

const std::vector<std::string> &joint_tables()
{
  static const std::vector<std::string> names = {"joint.csv",   "joint_pose.csv", "repairs.csv", "posture.csv",     "posture_pose.csv",    "opposite.csv",
                                                 "passive.csv", "wear.csv",       "bands.csv",   "sensitivity.csv", "uncertain_inputs.csv"};
  return names;
}

const std::vector<std::string> &construct_tables()
{
  static const std::vector<std::string> names = {"construct.csv", "cut.csv", "cut_map.csv", "screws.csv", "margins.csv", "margin_inputs.csv"};
  return names;
}

std::string case_file(const std::string &folder, double target_deg, bool operated)
{
  return fmt::format("{}/cases/{}_{:+06.2f}.json", folder, operated ? "levelled" : "unoperated", target_deg);
}

std::string noted_fingerprint(const std::string &folder) { return content(note_of(folder)); }

bool clear_other_results(const std::string &folder, const std::string &fingerprint)
{
  const std::string note    = note_of(folder);
  const bool        another = fs::exists(note) && noted_fingerprint(folder) != fingerprint;
  if (another)
  {
    const std::vector<std::string> others = {"refine.csv", "rig.csv", "study.csv", "dogs.csv", "summary.json", "fields.pvd", "report.html"};
    for (const std::vector<std::string> *names : {&joint_tables(), &construct_tables(), &others})
      for (const std::string &name : *names)
        fs::remove(folder + "/" + name);
    for (const auto &[sub, extension] : {std::pair("cases", ".json"), std::pair("fields", ".vtu"), std::pair("fields", ".vtm"),
                                         std::pair("pictures", ".png")})
      if (fs::is_directory(folder + "/" + sub))
        for (const auto &entry : fs::directory_iterator(folder + "/" + sub))
          if (entry.path().extension() == extension)
            fs::remove(entry.path());
  }
  fs::create_directories(folder + "/cases");
  write_file(note, fingerprint);
  return another;
}

std::string start_results(const std::string &folder, const Scenario &scenario, const std::string &what,
                          const std::vector<std::string> &notes)
{
  fs::create_directories(folder);
  open_log(folder);
  log("start", fmt::format("stifle {} | {} | {}", program_version(), what, caution()));
  for (const std::string &note : notes)
    log("check", note);
  return settle_folder(folder, scenario);
}

std::string settle_folder(const std::string &folder, const Scenario &scenario)
{
  const std::string mark = fingerprint(scenario);
  const StartLock   lock(folder);
  if (clear_other_results(folder, mark))
    log("clear", "results of another scenario or program removed from " + folder);
  write_file(folder + "/scenario.yaml", "# " + caution() + "\n" + echo_scenario(scenario));
  return mark;
}

bool take_up(const std::string &folder, const std::string &fingerprint, const Levelling &levelling, SlopeResult &slope)
{
  const double      target_deg = degrees(levelling.target_angle_rad);
  const std::string file       = case_file(folder, target_deg, levelling.cut);
  if (!fs::exists(file) || !read_slope_text(read_file(file), fingerprint, slope))
    return false;
  log("take up", fmt::format("slope {:.1f} deg: finished by an earlier run", target_deg));
  return true;
}

void keep_slope(const std::string &folder, const std::string &fingerprint, const SlopeResult &slope)
{
  write_file(case_file(folder, slope.target_deg, slope.operated), slope_text(slope, fingerprint));
}

std::vector<SlopeResult> finished_slopes(const std::string &folder, const std::string &fingerprint)
{
  std::vector<SlopeResult> slopes;
  if (fs::is_directory(folder + "/cases"))
    for (const auto &entry : fs::directory_iterator(folder + "/cases"))
    {
      SlopeResult slope;
      if (entry.path().extension() == ".json" && read_slope_text(content(entry.path().string()), fingerprint, slope))
        slopes.push_back(std::move(slope));
    }
  std::sort(slopes.begin(), slopes.end(), [](const SlopeResult &a, const SlopeResult &b) {
    return a.operated != b.operated ? !a.operated : a.target_deg > b.target_deg;
  });
  return slopes;
}
} // namespace stifle::app
