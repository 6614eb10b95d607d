#include "models/core/error.h"

namespace stifle
{
InputError::InputError(std::vector<InputProblem> problems)
  : std::runtime_error(format_problems(problems)), problems_(std::move(problems))
{}
} // namespace stifle
