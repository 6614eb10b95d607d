// scenarios/app/spare_threads.h - threads that a pool has no work for; what still runs may borrow them for a while
#pragma once
#include <atomic>

namespace stifle::app
{
class SpareThreads
{
public:
  void give(int number) { number_ += number; }
  int  take_all() { return number_.exchange(0); }

private:
  std::atomic<int> number_{0};
};

/// All that are spare now, given back at the end.
class Borrowed
{
public:
  explicit Borrowed(SpareThreads &from) : from_(from), number_(from.take_all()) {}
  ~Borrowed() { from_.give(number_); }
  Borrowed(const Borrowed &)            = delete;
  Borrowed &operator=(const Borrowed &) = delete;
  int number() const { return number_; }

private:
  SpareThreads &from_;
  const int     number_;
};
} // namespace stifle::app
