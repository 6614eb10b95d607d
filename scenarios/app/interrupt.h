// scenarios/app/interrupt.h - Ctrl-C ends a run between two states; exit code 130, a later run takes up
#pragma once
#include <exception>

namespace stifle::app
{
struct Interrupted : std::exception
{
  const char *what() const noexcept override { return "interrupted"; }
};
void catch_interrupts();      ///< installs the handlers of SIGINT and SIGTERM; a second signal ends at once
bool interrupted();
void stop_if_interrupted();   ///< throws Interrupted
} // namespace stifle::app
