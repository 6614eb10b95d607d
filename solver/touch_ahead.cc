#include "solver/touch_ahead.h"
#include <SuiteSparse_config.h>
#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <sys/mman.h>
#include <system_error>

namespace stifle::solver
{
namespace
{
constexpr std::size_t least = std::size_t(64) << 20, piece = std::size_t(8) << 20, page = 4096;
thread_local TouchAhead *active = nullptr;
} // namespace

TouchAhead::TouchAhead()
{
  static const bool hooked = [] { return SuiteSparse_config.malloc_func = &TouchAhead::allocate, true; }();
  active                   = hooked ? this : nullptr;
}

TouchAhead::~TouchAhead()
{
  active = nullptr;
  stop_  = true;
  if (toucher_.joinable())
    toucher_.join();
}

void *TouchAhead::allocate(std::size_t size)
{
  void *block = std::malloc(size);
  if (block && active && size >= least && !active->toucher_.joinable())
    active->start(static_cast<char *>(block), size);
  return block;
}

void TouchAhead::start(char *block, std::size_t size)
{
  char *const first = block + (page - reinterpret_cast<std::uintptr_t>(block) % page) % page;
  char *const last  = block + size - page;
  madvise(first, static_cast<std::size_t>(last - first) / page * page, MADV_HUGEPAGE); // refused: ordinary pages
  const auto  touch = [this, first, last] {
    for (char *at = first; at < last && !stop_; at += piece)
    {
      const std::size_t whole = static_cast<std::size_t>(last - at) / page * page;
      if (madvise(at, std::min(piece, whole), MADV_POPULATE_WRITE) != 0)
        return;
    }
  };
  try
  {
    toucher_ = std::thread(touch);
  }
  catch (const std::system_error &) // no thread to be had: the factorization touches its memory itself
  {
  }
}
} // namespace stifle::solver
