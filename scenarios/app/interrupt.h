// scenarios/app/interrupt.h - Ctrl-C ends a run between two states; exit code 130, a later run takes up
#pragma once
#include <exception>
#include <string>

namespace stifle::app
{
struct Interrupted : std::exception
{
  const char *what() const noexcept override { return "interrupted"; }
};
void catch_interrupts();      ///< installs the handlers of SIGINT and SIGTERM; a second signal ends at once
bool interrupted();
void stop_if_interrupted();   ///< throws Interrupted

/// What went wrong in `work`, running out of memory included; empty when nothing did. Interrupted passes through.
template <class Work> std::string failure_of(Work work)
{
  try
  {
    work();
  }
  catch (const Interrupted &)
  {
    throw;
  }
  catch (const std::exception &error)
  {
    return error.what();
  }
  return "";
}
} // namespace stifle::app
