// A run that was stopped, killed, taken up or done with other threads: the results of a run left alone.
#include "tests/scenarios/finished_run.h"
#include "viz/vtu.h"
#include <chrono>
#include <csignal>
#include <thread>

namespace
{
/// Reads every file of the folder; throws on a torn one.
void read_everything(const std::string &folder)
{
  for (const auto &entry : fs::recursive_directory_iterator(folder))
  {
    const std::string kind = entry.path().extension().string();
    if (kind == ".csv")
      stifle::read_table(entry.path().string());
    if (kind == ".json")
    {
      std::ifstream file(entry.path());
      if (!json::accept(file))
        throw std::runtime_error("torn " + entry.path().string());
    }
    if (kind == ".vtu")
      stifle::viz::read_vtu(entry.path().string());
  }
}
} // namespace

TEST(Run, TakesUpWhatAnEarlierRunFinished)
{
  const std::string out   = fresh_folder("take_up");
  fs::copy(finished_run(), out, fs::copy_options::recursive);
  const std::string before = stifle::read_file(out + "/construct.csv"), log = stifle::read_file(out + "/log.txt");
  const ProgramRun  again  = run_program("run " + small_dog + " --out " + out);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  EXPECT_NE(again.output.find("finished by an earlier run"), std::string::npos);
  EXPECT_NE(log.find("tetrahedra, worst"), std::string::npos);
  EXPECT_EQ(stifle::read_file(out + "/log.txt").substr(log.size()).find("tetrahedra, worst"), std::string::npos) << "meshed again";
  EXPECT_EQ(stifle::read_file(out + "/construct.csv"), before);
}

TEST(Run, SurvivesInterruptAndKill)
{
  for (const auto &[number, code] : {std::pair(SIGINT, 130), std::pair(SIGKILL, 128 + SIGKILL)})
    for (const double seconds : {1.5, 5.0})
    {
      const std::string out = fresh_folder("stopped");
      const ProgramRun  run = run_and_signal({"run", small_dog, "--out", out}, number, seconds);
      EXPECT_EQ(run.exit_code, code);
      EXPECT_NO_THROW(read_everything(out));
      fs::remove_all(out);
    }
}

TEST(Run, StopsBetweenTwoStatesWhateverThreadsTheLibrariesStart)
{
  setenv("OPENBLAS_NUM_THREADS", "4", 1); // they are there before main and hold no signal back
  const std::string out   = fresh_folder("stopped");
  const pid_t       child = start_program({"run", small_dog, "--out", out});
  unsetenv("OPENBLAS_NUM_THREADS");
  for (int i = 0; i < 1000 && !fs::exists(out + "/log.txt"); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  kill(child, SIGTERM);
  EXPECT_EQ(wait_for(child), 130);
  EXPECT_NE(stifle::read_file(out + "/log.txt").find("interrupted; finished slopes are kept"), std::string::npos);
  fs::remove_all(out);
}

TEST(Run, FinishesWhatAKilledRunLeft)
{
  // One of the two slopes of a finished run is taken away, a torn copy lies beside: as after kill -9 between two slopes.
  const std::string out = fresh_folder("killed");
  fs::copy(finished_run(), out, fs::copy_options::recursive);
  const std::string levelled = out + "/cases/levelled_+06.00.json";
  ASSERT_TRUE(fs::exists(levelled));
  const std::string whole = stifle::read_file(levelled);
  stifle::write_file(levelled, whole.substr(0, whole.size() / 2));
  for (const char *name : {"construct.csv", "cut.csv", "screws.csv", "margins.csv", "summary.json"})
    fs::remove(out + "/" + name);
  const std::string log = stifle::read_file(out + "/log.txt");
  const ProgramRun again = run_program("run " + small_dog + " --out " + out);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  EXPECT_NE(again.output.find("finished by an earlier run"), std::string::npos);
  EXPECT_NE(stifle::read_file(out + "/log.txt").substr(log.size()).find("levelled to 6.0 deg: "), std::string::npos);
  for (const char *name : {"construct.csv", "cut.csv", "cut_map.csv", "screws.csv", "margins.csv"})
    EXPECT_EQ(stifle::read_file(out + "/" + name), stifle::read_file(finished_run() + "/" + name)) << name;
}

TEST(Run, ThreadCountChangesNoDigit)
{
  const std::string out = fresh_folder("one_thread");
  const ProgramRun  run = run_program("run " + small_dog + " --out " + out + " --threads 1");
  ASSERT_EQ(run.exit_code, 0) << run.output;
  for (const char *name : {"joint.csv", "construct.csv", "cut.csv", "screws.csv", "margins.csv", "passive.csv", "wear.csv",
                           "opposite.csv", "posture.csv", "posture_pose.csv", "repairs.csv"})
    EXPECT_EQ(stifle::read_file(out + "/" + name), stifle::read_file(finished_run() + "/" + name)) << name;
}
