// scenarios/app/shared_work.h - cases worked off together with every other process on the same results folder, each done once
#pragma once
#include "scenarios/app/claims.h"
#include <cstddef>
#include <exception>
#include <functional>

namespace stifle::app
{
/// Cases by index; the functions are called on several threads.
struct SharedWork
{
  std::size_t size = 0;
  std::function<std::string(std::size_t)> name;     ///< of the claim: the same in every process
  std::function<bool(std::size_t)>        finished; ///< by anyone; asked again until it says so, never after
  std::function<bool(std::size_t)>        work;     ///< claimed; leaves what `finished` looks for, or false. Exceptions end the work
  std::function<void()>                   idle = [] {}; ///< once by each thread: it found nothing to do
};

/// With `wait` returns when every case is finished, by whomever: cases of others are waited for, stale claims are taken over.
/// Without it returns when nothing is left to claim. Returns the number of cases that are not finished. Throws Interrupted.
std::size_t work_off(const SharedWork &shared, ClaimBoard &board, int threads, bool wait);

/// Thrown where a run without waiting ends because others still work on the rest.
struct LeftToOthers : std::exception
{
  explicit LeftToOthers(std::size_t number) : cases(number) {}
  const char *what() const noexcept override { return "cases left to other processes"; }
  std::size_t cases;
};
} // namespace stifle::app
