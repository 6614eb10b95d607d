#include "solver/thread_random.h"
#include <cstdlib>

namespace
{
/// The generator behind glibc's rand(): 128 bytes of state, seed 1 until srand is called.
struct Generator
{
  random_data data{};
  char        state[128] = {};
  Generator() { initstate_r(1, state, sizeof state, &data); }
};
thread_local Generator generator;
} // namespace

extern "C" int rand() noexcept
{
  int value = 0;
  random_r(&generator.data, &value);
  return value;
}

extern "C" void srand(unsigned seed) noexcept { srandom_r(seed, &generator.data); }

namespace stifle::solver
{
void keep_random_per_thread() {}
} // namespace stifle::solver
