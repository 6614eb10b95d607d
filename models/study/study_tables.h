// models/study/study_tables.h - bands.csv, sensitivity.csv and uncertain_inputs.csv
#pragma once
#include "models/core/files.h"
#include "models/study/drivers.h"

namespace stifle
{
/// plateau_angle_target_deg, ligament, repair, load_set, activity, stance_percent, quantity, unit, low, median, high, samples,
/// failed, dislocated (of the failed: the femur runs off the plateau), reason (the most frequent one). Low and high are the 5 and 95 % values;
/// empty cells when too many of the samples failed (bands.h, neutral_bands.h).
Table bands_table(const std::vector<Band> &bands);
/// quantity, activity, stance_percent, input, label, first_order, total, rank, samples, failed, first_order_error, total_error.
Table sensitivity_table(const std::vector<DriverRow> &rows);
/// input, unit, distribution, low, high, label, source.
Table inputs_table(const std::vector<UncertainInput> &inputs);
} // namespace stifle
