// scenarios/app/closing.h - the short text a run ends with, in plain words, at most 80 columns (only a longer path stays whole)
#pragma once
#include "models/joint/sweep.h"
#include "scenarios/app/tables.h"

namespace stifle::app
{
std::string closing_text(const std::vector<JointRow> &joint, const NeutralAngles &neutral, const JudgedSlopes &judged);
/// Of a rig: rig.csv in the order of its rows.
std::string rig_text(const Scenario &scenario, const JudgedSlopes &judged);
/// Where the results are and what to open.
std::string results_line(const std::string &folder);
} // namespace stifle::app
