// models/joint/spatial_joint.h - solve_joint in three dimensions: intact pose for the thrust, then the case itself
#pragma once
#include "models/joint/joint.h"
#include "models/joint/spatial_equilibrium.h"

namespace stifle
{
/// See solve_joint. Starts: the reference pose; a torn joint or one with a suture from where the intact joint stands; where that
/// fails, `guess`.
JointState solve_spatial_joint(const JointCase &joint_case, const JointState *guess);

/// Everything the tables need out of an equilibrium.
JointState describe(const JointCase &joint_case, const SpatialSetup &setup, const SpatialEquilibrium &found);
} // namespace stifle
