// models/limb/posture.h - one ground force under a limb swept from crouched to straight
//   rule    stifle angle s given; ground force, its side part, the places of the centre of pressure on the foot and the tilt m of
//           the metatarsus are those of a base instant. Tibia tilt tau and femur tilt phi share 180 - s so that the centre of
//           pressure lies vertically under the hip (or `hip_ahead_mm` behind it). One solution: leaning the tibia forward at a
//           held stifle carries the hip forward.
//   frame   hip and paw in the sagittal plane; tilts as in activities.h
//   units   mm, degrees (an Activity is a table)
//   errors  Error when the range is empty, the step is not above 0, or no upright bones meet the rule
//   limits  synthetic: no dog walks through these postures; the hock follows from the rule
#pragma once
#include "models/limb/statics.h"

namespace stifle
{
struct PostureSweep
{
  double first_deg = 110, last_deg = 170, step_deg = 5; ///< stifle angle, rising
  double hip_ahead_mm = 0;                              ///< hip cranial of the centre of pressure
};

/// Stifle angles of the sweep, rising; the last one is reached when the step divides the range.
std::vector<double> posture_angles_deg(const PostureSweep &sweep);
/// One row for each angle, in that order; `percent` of the rows runs evenly from 0 (crouched) to 100 (straight), so that
/// stance_load at row.percent is that posture. Name "posture", label assumption.
Activity posture_activity(const Anatomy &anatomy, const ActivityRow &base, const PostureSweep &sweep = {});
/// stance_load at every row, in that order.
std::vector<StanceLoad> posture_loads(const Scenario &scenario, const Anatomy &anatomy, const ActivityRow &base,
                                      const PostureSweep &sweep = {});
/// How far the hip lies cranial of the centre of pressure, along the ground, mm.
double hip_ahead_of_paw_mm(const StanceLoad &load, const Anatomy &anatomy);
} // namespace stifle
