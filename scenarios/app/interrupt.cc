#include "scenarios/app/interrupt.h"
#include "solver/blas_threads.h"
#include <atomic>
#include <csignal>
#include <mutex>
#include <pthread.h>
#include <thread>
#include <unistd.h>

namespace stifle::app
{
namespace
{
std::atomic<bool> signal_seen{false};

sigset_t stop_signals()
{
  sigset_t both;
  sigemptyset(&both);
  sigaddset(&both, SIGINT);
  sigaddset(&both, SIGTERM);
  return both;
}

int next_stop_signal()
{
  const sigset_t both   = stop_signals();
  int            number = 0;
  while (sigwait(&both, &number) != 0)
    ;
  return number;
}

/// In a child after fork: there nobody waits for them, so they end it.
void let_stop_signals_through()
{
  const sigset_t both = stop_signals();
  pthread_sigmask(SIG_UNBLOCK, &both, nullptr);
}

void catch_once()
{
  const sigset_t both = stop_signals();
  solver::end_blas_threads();
  pthread_sigmask(SIG_BLOCK, &both, nullptr); // threads to come inherit it
  pthread_atfork(nullptr, nullptr, let_stop_signals_through);
  std::thread([] {
    next_stop_signal();
    signal_seen = true;
    _exit(128 + next_stop_signal());
  }).detach();
}
} // namespace

void catch_interrupts()
{
  static std::once_flag once;
  std::call_once(once, catch_once);
}
bool interrupted() { return signal_seen; }
void stop_if_interrupted()
{
  if (interrupted())
    throw Interrupted();
}
} // namespace stifle::app
