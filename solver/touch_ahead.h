// solver/touch_ahead.h - memory of a large factor is made present by another thread, ahead of the numbers that fill it
//   why    the kernel gives a page when it is first touched; on a virtual machine that can cost 1.7 s a GB (measured on ours), a
//          quarter of a factorization. Contents stay as they are (MADV_POPULATE_WRITE, Linux 5.14); older kernels refuse, and nothing happens
#pragma once
#include <atomic>
#include <thread>

namespace stifle::solver
{
/// While it lives, the first block of at least 64 MB that SuiteSparse allocates in this thread is touched by a thread of its own.
class TouchAhead
{
public:
  TouchAhead();
  ~TouchAhead(); ///< stops touching
  TouchAhead(const TouchAhead &)            = delete;
  TouchAhead &operator=(const TouchAhead &) = delete;

private:
  static void *allocate(std::size_t size);
  void         start(char *block, std::size_t size);
  std::atomic<bool> stop_{false};
  std::thread       toucher_;
};
} // namespace stifle::solver
