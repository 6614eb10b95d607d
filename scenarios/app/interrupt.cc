#include "scenarios/app/interrupt.h"
#include <csignal>

namespace stifle::app
{
namespace
{
volatile std::sig_atomic_t signal_seen = 0;
extern "C" void on_signal(int number)
{
  signal_seen = 1;
  std::signal(number, SIG_DFL);
}
} // namespace

void catch_interrupts()
{
  std::signal(SIGINT, on_signal);
  std::signal(SIGTERM, on_signal);
}
bool interrupted() { return signal_seen != 0; }
void stop_if_interrupted()
{
  if (interrupted())
    throw Interrupted();
}
} // namespace stifle::app
