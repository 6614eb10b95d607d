// scenarios/app/pictures.h - DIR/pictures and DIR/fields.pvd, made from the files of the results folder
#pragma once
#include "models/core/scenario.h"
#include "scenarios/app/slope_result.h"

namespace stifle::app
{
/// Writes fields.pvd and every picture the folder has the data for. Without an X server and without Xvfb the pictures are
/// left out with one clear line; nothing fails.
void write_pictures(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes);
} // namespace stifle::app
