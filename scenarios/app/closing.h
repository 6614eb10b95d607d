// scenarios/app/closing.h - the short table a run ends with, in plain words, at most 80 columns
#pragma once
#include "models/joint/sweep.h"
#include "scenarios/app/tables.h"

namespace stifle::app
{
std::string closing_text(const std::vector<JointRow> &joint, const NeutralAngles &neutral, const JudgedSlopes &judged);
} // namespace stifle::app
