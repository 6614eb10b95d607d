// tests/support/refusal.h - the words something is refused with
#pragma once
#include <string>

namespace stifle::test
{
/// what() of the `Problem` that `action` throws, "not refused" without one; any other exception passes through.
template <class Problem, class Action> std::string refused_with(const Action &action)
{
  try
  {
    action();
  }
  catch (const Problem &problem)
  {
    return problem.what();
  }
  return "not refused";
}
} // namespace stifle::test
