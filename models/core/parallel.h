// models/core/parallel.h - the same work for many indices on several threads
#pragma once
#include <cstddef>
#include <functional>
#include <mutex>

namespace stifle
{
/// Work for every index below `number`, in no stated order; each index must write only to its own place. The first exception
/// stops the rest and is thrown again here. `threads` below 1 counts as 1.
void for_each_index(std::size_t number, int threads, const std::function<void(std::size_t)> &work);

/// Called with the pieces done and of all pieces, on any thread, never two at a time, `done` rising. It may throw to stop.
using Progress = std::function<void(std::size_t done, std::size_t total)>;

class ProgressCounter
{
public:
  ProgressCounter(Progress report, std::size_t total) : report_(std::move(report)), total_(total) {}
  void add_one();

private:
  Progress report_;
  std::size_t total_, done_ = 0;
  std::mutex one_at_a_time_;
};
} // namespace stifle
