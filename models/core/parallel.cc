#include "models/core/parallel.h"
#include <atomic>
#include <exception>
#include <thread>
#include <vector>

namespace stifle
{
void for_each_index(std::size_t number, int threads, const std::function<void(std::size_t)> &work)
{
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex failing;
  const auto loop = [&]
  {
    try
    {
      for (std::size_t i = next++; i < number; i = next++)
        work(i);
    }
    catch (...)
    {
      next = number;
      const std::lock_guard<std::mutex> lock(failing);
      if (!failure)
        failure = std::current_exception();
    }
  };
  std::vector<std::thread> helpers;
  for (int i = 1; i < threads; ++i)
    helpers.emplace_back(loop);
  loop();
  for (std::thread &helper : helpers)
    helper.join();
  if (failure)
    std::rethrow_exception(failure);
}

void ProgressCounter::add_one()
{
  if (!report_)
    return;
  const std::lock_guard<std::mutex> lock(one_at_a_time_);
  report_(++done_, total_);
}
} // namespace stifle
