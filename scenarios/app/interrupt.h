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
/// A thread waits for SIGINT and SIGTERM, blocked in all others; a second one ends at once. Before any other thread is started.
/// Not by handlers: METIS (gk_sigtrap) and PETSc put their own in the place of any, and that of METIS, left behind by two orderings
/// at once, jumps into nowhere. Children by fork let both through; by posix_spawn they need `POSIX_SPAWN_SETSIGMASK`.
void catch_interrupts();
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
