// scenarios/app/report_html.h - DIR/report.html from the files of a results folder (viz/report_page.h)
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
/// What is said of a field file in lists and titles: slope, week, activity, instant.
std::string field_words(const SlopeResult &slope, const FieldFile &field);
/// The two parts of it that stay the same over the weeks.
std::string slope_words(const SlopeResult &slope);
std::string state_words(const FieldFile &field);

/// Writes report.html and says so in the log; what fails is named there and leaves the results alone.
void write_report(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes);
} // namespace stifle::app
