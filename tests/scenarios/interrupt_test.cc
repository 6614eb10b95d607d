// The wait for SIGINT and SIGTERM: in a child, since it lasts as long as its process.
#include "scenarios/app/interrupt.h"
#include "tests/support/grid.h"
#include <atomic>
#include <chrono>
#include <csignal>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

using namespace stifle;

namespace
{
bool noticed_within(double seconds)
{
  for (int i = 0; i < 100 * seconds && !app::interrupted(); ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(10));
  return app::interrupted();
}

/// METIS replaces the handler of SIGTERM while it orders; 0 when the signal was noticed all the same.
[[noreturn]] void signalled_while_ordering()
{
  app::catch_interrupts();
  std::atomic<bool>        done{false};
  std::vector<std::thread> threads;
  for (int i = 0; i < 2; ++i)
    threads.emplace_back([&] {
      while (!done)
        const solver::Grid ordered(16);
    });
  std::this_thread::sleep_for(std::chrono::milliseconds(300));
  kill(getpid(), SIGTERM);
  const bool noticed = noticed_within(20);
  done               = true;
  for (std::thread &thread : threads)
    thread.join();
  _exit(noticed ? 0 : 1);
}

[[noreturn]] void signalled_twice()
{
  app::catch_interrupts();
  kill(getpid(), SIGINT);
  if (noticed_within(20))
    kill(getpid(), SIGTERM);
  std::this_thread::sleep_for(std::chrono::seconds(20));
  _exit(1);
}

/// What a child of its own did that was signalled: the signal that ended it.
[[noreturn]] void signals_a_child()
{
  app::catch_interrupts();
  const pid_t child = fork();
  if (child == 0)
  {
    std::this_thread::sleep_for(std::chrono::seconds(20));
    _exit(1);
  }
  kill(child, SIGTERM);
  int status = 0;
  waitpid(child, &status, 0);
  _exit(WIFSIGNALED(status) && WTERMSIG(status) == SIGTERM && !app::interrupted() ? 0 : 1);
}
} // namespace

TEST(Interrupt, IsNoticedWhileTwoThreadsOrder)
{
  for (int i = 0; i < 3; ++i)
    EXPECT_EXIT(signalled_while_ordering(), testing::ExitedWithCode(0), "");
}

TEST(Interrupt, OfASecondSignalEndsAtOnce) { EXPECT_EXIT(signalled_twice(), testing::ExitedWithCode(128 + SIGTERM), ""); }

TEST(Interrupt, IsNotHeldBackFromAChild) { EXPECT_EXIT(signals_a_child(), testing::ExitedWithCode(0), ""); }
