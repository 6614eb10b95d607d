#include "scenarios/app/shared_work.h"
#include "models/core/parallel.h"
#include "scenarios/app/interrupt.h"
#include <atomic>
#include <chrono>
#include <memory>

namespace stifle::app
{
namespace
{
constexpr auto pause = std::chrono::milliseconds(100);

enum State : char { open, in_hand, done }; ///< of a case in this process: one thread at a time has it in hand

class Worker
{
public:
  Worker(const SharedWork &shared, ClaimBoard &board)
    : shared_(shared), board_(board), states_(new std::atomic<State>[shared.size]), left_(shared.size)
  {
    for (std::size_t i = 0; i < shared.size; ++i)
      states_[i] = open;
  }

  void all(int threads, bool wait)
  {
    for_each_index(std::size_t(std::max(1, threads)), threads, [&](std::size_t) { passes(wait); });
  }

  std::size_t left() const { return left_; }

private:
  void passes(bool wait)
  {
    bool idle = false;
    while (left_ > 0 && !failed_)
      if (!pass())
      {
        if (!idle)
          shared_.idle();
        idle = true;
        if (!wait && left_ > 0)
          return;
        std::this_thread::sleep_for(pause);
      }
    if (!idle)
      shared_.idle();
  }

  /// True when a case was done here.
  bool pass()
  {
    bool did_any = false;
    for (std::size_t i = 0; i < shared_.size && !failed_; ++i)
    {
      stop_if_interrupted();
      State before = open;
      if (!states_[i].compare_exchange_strong(before, in_hand))
        continue;
      const bool worked = look_or_work(i);
      did_any           = did_any || worked;
      if (states_[i] != done)
        states_[i] = open;
    }
    return did_any;
  }

  /// True when the case was worked on.
  bool look_or_work(std::size_t i)
  {
    if (is_finished(i))
      return false;
    const std::string name = shared_.name(i);
    if (!board_.take(name))
      return false;
    const bool worked = !is_finished(i) && work(i, name); // finished between the look and the claim
    board_.finish(name);
    return worked;
  }

  bool is_finished(std::size_t i)
  {
    const bool finished = shared_.finished(i);
    if (finished)
      close(i);
    return finished;
  }

  bool work(std::size_t i, const std::string &name)
  {
    try
    {
      if (shared_.work(i))
        close(i);
    }
    catch (...)
    {
      board_.give_back(name);
      failed_ = true; // the other threads end too
      throw;
    }
    return true;
  }

  void close(std::size_t i)
  {
    states_[i] = done;
    --left_;
  }

  const SharedWork                     &shared_;
  ClaimBoard                           &board_;
  std::unique_ptr<std::atomic<State>[]> states_;
  std::atomic<std::size_t>              left_;
  std::atomic<bool>                     failed_{false};
};
} // namespace

std::size_t work_off(const SharedWork &shared, ClaimBoard &board, int threads, bool wait)
{
  Worker worker(shared, board);
  worker.all(threads, wait);
  return worker.left();
}
} // namespace stifle::app
