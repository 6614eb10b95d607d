// Who works on a case: one process at a time, whatever is killed.
#include "models/core/files.h"
#include "scenarios/app/claims.h"
#include "scenarios/app/shared_work.h"
#include "tests/support/claim_elsewhere.h"
#include "tests/support/program.h"
#include <atomic>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <functional>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace stifle::app;
namespace fs = std::filesystem;

namespace
{
/// The work as another process; its end is the caller's.
pid_t in_another_process(const std::function<void()> &work)
{
  const pid_t child = fork();
  if (child == 0)
  {
    work();
    _exit(0);
  }
  return child;
}

void wait_for(const std::function<bool()> &done)
{
  for (int i = 0; i < 500 && !done(); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  ASSERT_TRUE(done());
}

std::size_t files_in(const std::string &folder) { return std::size_t(std::distance(fs::directory_iterator(folder), fs::directory_iterator())); }
} // namespace

TEST(Claims, OneOfManyProcessesGetsEachCase)
{
  const std::string  folder = fresh_folder("claims_many"), won = fresh_folder("claims_won");
  std::vector<pid_t> children;
  for (int p = 0; p < 8; ++p)
    children.push_back(in_another_process([&] {
      ClaimBoard board(folder);
      for (int c = 0; c < 100; ++c)
        if (board.take("case" + std::to_string(c)))
          std::ofstream(won + "/" + std::to_string(c) + "." + std::to_string(getpid())) << "";
      std::this_thread::sleep_for(std::chrono::milliseconds(1500)); // alive while the others look
    }));
  for (const pid_t child : children)
    waitpid(child, nullptr, 0);
  EXPECT_EQ(files_in(won), 100u);
}

TEST(Claims, KilledProcessLosesItsClaimAtOnce)
{
  const std::string folder = fresh_folder("claims_killed");
  const pid_t       child  = in_another_process([&] {
    ClaimBoard board(folder);
    board.take("case");
    pause();
  });
  wait_for([&] { return fs::exists(folder + "/case.0") && fs::file_size(folder + "/case.0") > 0; });
  ClaimBoard board(folder);
  EXPECT_FALSE(board.take("case"));
  EXPECT_TRUE(board.anyone_at_work());
  kill(child, SIGKILL);
  waitpid(child, nullptr, 0);
  EXPECT_FALSE(board.anyone_at_work());
  EXPECT_TRUE(board.take("case"));
  EXPECT_FALSE(board.take("case")); // held by this process
}

TEST(Claims, ProcessOfAnotherMachineLosesItsClaimAfterAMinuteOfSilence)
{
  const std::string folder = fresh_folder("claims_far");
  ClaimBoard        board(folder);
  claim_elsewhere(folder + "/early.0", 50);
  EXPECT_FALSE(board.take("early"));
  claim_elsewhere(folder + "/late.0", 70);
  EXPECT_TRUE(board.take("late"));
  EXPECT_TRUE(fs::exists(folder + "/late.1")); // made beside, nothing renamed
}

TEST(Claims, OnlyOneOfManyTakesAStaleClaimOver)
{
  const std::string folder = fresh_folder("claims_stale");
  for (int round = 0; round < 20; ++round)
  {
    const std::string name = "case" + std::to_string(round);
    claim_elsewhere(folder + "/" + name + ".0", 1000);
    std::atomic<int>         won{0};
    std::vector<std::thread> threads;
    for (int t = 0; t < 8; ++t)
      threads.emplace_back([&] {
        ClaimBoard board(folder);
        won += board.take(name);
      });
    for (std::thread &thread : threads)
      thread.join();
    EXPECT_EQ(won, 1) << round;
  }
}

TEST(Claims, HeldClaimIsTouchedAndLongWorkKeepsIt)
{
  const std::string folder = fresh_folder("claims_touched");
  const ClaimTimes  quick{0.05, 0.6};
  ClaimBoard        holder(folder, quick), other(folder, quick);
  ASSERT_TRUE(holder.take("case"));
  std::this_thread::sleep_for(std::chrono::milliseconds(1500));
  EXPECT_FALSE(other.take("case"));
  EXPECT_TRUE(holder.mine("case"));
}

TEST(Claims, SleeperLearnsThatItsClaimIsLost)
{
  const std::string folder = fresh_folder("claims_sleeper");
  ClaimBoard        sleeper(folder, {1000, 0.2}), other(folder, {1000, 0.2}); // touches too rarely: as if stopped
  ASSERT_TRUE(sleeper.take("case"));
  std::this_thread::sleep_for(std::chrono::milliseconds(500));
  EXPECT_TRUE(other.take("case"));
  EXPECT_FALSE(sleeper.mine("case"));
  EXPECT_TRUE(other.mine("case"));
  sleeper.give_back("case"); // not its own any more
  EXPECT_TRUE(other.mine("case"));
}

TEST(Claims, DeathsAreCountedAndCasesGivenBackAreNot)
{
  const std::string folder = fresh_folder("claims_deaths");
  ClaimBoard        board(folder);
  ASSERT_TRUE(board.take("case"));
  EXPECT_EQ(board.deaths("case"), 0);
  board.give_back("case");
  ASSERT_TRUE(board.take("case"));
  EXPECT_EQ(board.deaths("case"), 0);
  claim_elsewhere(folder + "/lost.0", 1000);
  ASSERT_TRUE(board.take("lost"));
  EXPECT_EQ(board.deaths("lost"), 1);
}

TEST(Claims, GivenBackIsFreeAtOnce)
{
  const std::string folder = fresh_folder("claims_back");
  ClaimBoard        one(folder), other(folder);
  ASSERT_TRUE(one.take("case"));
  EXPECT_FALSE(other.take("case"));
  one.give_back("case");
  EXPECT_TRUE(other.take("case"));
}

namespace
{
/// Cases that leave a file and are counted in another, one file a time they are done.
SharedWork counted_work(const std::string &done, const std::string &counts, std::size_t size, std::chrono::milliseconds takes)
{
  const auto file = [done](std::size_t i) { return done + "/" + std::to_string(i); };
  return {size, [](std::size_t i) { return "case" + std::to_string(i); }, [file](std::size_t i) { return fs::exists(file(i)); },
          [file, counts, takes](std::size_t i) {
            static std::atomic<int> nth{0};
            std::ofstream(counts + "/" + std::to_string(i) + "." + std::to_string(getpid()) + "." + std::to_string(nth++)) << "";
            std::this_thread::sleep_for(takes);
            std::ofstream(file(i)) << "";
            return true;
          }};
}
} // namespace

TEST(SharedWork, EveryCaseIsDoneOnceByProcessesAndThreads)
{
  const std::string  claims = fresh_folder("shared_claims"), done = fresh_folder("shared_done"), counts = fresh_folder("shared_counts");
  std::vector<pid_t> children;
  for (int p = 0; p < 3; ++p)
    children.push_back(in_another_process([&] {
      ClaimBoard board(claims);
      if (work_off(counted_work(done, counts, 60, std::chrono::milliseconds(5)), board, 2, true) != 0)
        _exit(1);
    }));
  for (const pid_t child : children)
  {
    int status = 0;
    waitpid(child, &status, 0);
    EXPECT_EQ(status, 0);
  }
  EXPECT_EQ(files_in(done), 60u);
  EXPECT_EQ(files_in(counts), 60u);
}

TEST(SharedWork, WaitsForOthersAndTakesOverWhatAKilledOneLeft)
{
  const std::string claims = fresh_folder("taken_claims"), done = fresh_folder("taken_done"), counts = fresh_folder("taken_counts");
  const pid_t       child  = in_another_process([&] {
    ClaimBoard board(claims);
    work_off(counted_work(done, counts, 1, std::chrono::seconds(100)), board, 1, true);
  });
  wait_for([&] { return files_in(counts) == 1; });
  ClaimBoard board(claims);
  const auto work = counted_work(done, counts, 1, std::chrono::milliseconds(1));
  EXPECT_EQ(work_off(work, board, 1, false), 1u); // nothing left to claim: does not wait
  std::thread killer([child] {
    std::this_thread::sleep_for(std::chrono::milliseconds(700));
    kill(child, SIGKILL);
    waitpid(child, nullptr, 0);
  });
  EXPECT_EQ(work_off(work, board, 1, true), 0u);
  killer.join();
  EXPECT_EQ(files_in(counts), 2u); // begun twice, finished once
  EXPECT_EQ(files_in(done), 1u);
}

TEST(SharedWork, FailureGivesTheCaseBackAndIsThrown)
{
  const std::string claims = fresh_folder("failing_claims");
  ClaimBoard        board(claims), other(claims);
  const SharedWork  work{1, [](std::size_t) { return "case"; }, [](std::size_t) { return false; },
                        [](std::size_t) -> bool { throw std::runtime_error("the disk is full"); }};
  EXPECT_THROW(work_off(work, board, 1, true), std::runtime_error);
  EXPECT_TRUE(other.take("case"));
}
