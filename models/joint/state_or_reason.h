// models/joint/state_or_reason.h - a case that cannot be set up (Error) is a state that was not found, with its reason
#pragma once
#include "models/core/error.h"
#include "models/joint/joint.h"

namespace stifle
{
template <class Solve> JointState state_or_reason(const Solve &solve)
{
  try
  {
    return solve();
  }
  catch (const Error &error)
  {
    JointState state;
    state.reason = error.what();
    return state;
  }
}
} // namespace stifle
