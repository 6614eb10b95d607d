// scenarios/app/refusals.h - geometry that cannot be, as problems of the scenario file: each reason once, with the key it names
#pragma once
#include "models/core/error.h"

namespace stifle::app
{
class Refusals
{
public:
  explicit Refusals(std::string file) : file_(std::move(file)) {}
  /// `what` cannot be done because of `why`. The same reason for several things becomes one problem,
  /// also where only its numbers differ: those of the first are shown.
  void add(const std::string &what, const std::string &why, const std::string &allowed);
  bool none() const { return reasons_.empty(); }
  /// Throws InputError with all of them; line and column of the key that a reason names (section.key), where the file has it.
  void finish() const;

private:
  struct Reason
  {
    std::vector<std::string> what;
    std::string              why, allowed;
    bool                     alike = true; ///< the same numbers in each
  };
  InputProblem problem_of(const Reason &reason) const;

  std::string         file_;
  std::vector<Reason> reasons_;
};
} // namespace stifle::app
