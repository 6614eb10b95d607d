// models/study/drivers.h - which uncertain input drives which result: Sobol indices of the joint
//   results  of the unoperated drawn dog in the middle of a walk (the first activity when there is no walk): thrust, cranial
//            cruciate force (intact), cranial translation (torn, against intact), and its neutral slope in that instant, as
//            measured
//   cost     study.samples times (number of inputs + 2) dogs
#pragma once
#include "models/study/bands.h"

namespace stifle
{
struct DriverRow
{
  std::string quantity;
  StudyInstant instant;
  std::string input, label;
  std::optional<double> first_order, total; ///< parts of the variance; empty when it cannot be told (sensitivity.h)
  std::optional<double> first_order_error, total_error;
  std::optional<int> rank;             ///< 1 = largest total index
  std::size_t samples = 0, failed = 0; ///< base samples drawn; left out because one of their dogs failed
};

/// Rows by result, then by rank. Empty when study.samples is 0 or there is no activity.
std::vector<DriverRow> rank_drivers(const Scenario &scenario, const std::vector<Activity> &activities,
                                    const StudyOptions &options);
} // namespace stifle
