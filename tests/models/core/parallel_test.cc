// Requirements of work over indices.
#include "models/core/error.h"
#include "models/core/parallel.h"
#include <gtest/gtest.h>
#include <vector>

using namespace stifle;

// Requirement: every index is worked once, on any number of threads; none is fine too.
TEST(ForEachIndex, WorksEveryIndexOnce)
{
  for (const int threads : {0, 1, 3, 200})
  {
    std::vector<int> done(100);
    for_each_index(done.size(), threads, [&](std::size_t i) { ++done[i]; });
    EXPECT_EQ(done, std::vector<int>(100, 1));
    for_each_index(0, threads, [](std::size_t) { FAIL(); });
  }
}

// Requirement: an exception comes back to the caller and stops the rest.
TEST(ForEachIndex, PassesExceptionsOn)
{
  for (const int threads : {1, 3})
    EXPECT_THROW(for_each_index(1000000000, threads,
                                [](std::size_t i)
                                {
                                  if (i == 10)
                                    throw Error("ten");
                                }),
                 Error);
}

// Requirement: progress rises one by one to the total, whatever the threads.
TEST(ProgressCounter, CountsToTheTotal)
{
  std::vector<std::size_t> seen;
  ProgressCounter counter(
      [&](std::size_t done, std::size_t total)
      {
        EXPECT_EQ(total, 50u);
        seen.push_back(done);
      },
      50);
  for_each_index(50, 3, [&](std::size_t) { counter.add_one(); });
  ASSERT_EQ(seen.size(), 50u);
  for (std::size_t i = 0; i < 50; ++i)
    EXPECT_EQ(seen[i], i + 1);
}
