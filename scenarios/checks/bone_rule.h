// scenarios/checks/bone_rule.h - the rule of broken bone (solver/plastic_construct.h) on a chosen part of the cortex
//   frame   unoperated tibia, mm; loads and displacements are scaled by one factor
#pragma once
#include "solver/plastic_construct.h"
#include <functional>

namespace stifle::checks
{
/// Of a cell of the cortex: its part and its centre.
using ChosenBone = std::function<bool(const std::string &part, const Vector3 &centre_mm)>;

struct YieldPoint
{
  double factor; ///< on the displacement, at which it passes its yield strain
  double share;  ///< of the chosen volume
};
/// The quadrature points of the chosen cortex, first one first. Throws Error when nothing is chosen.
std::vector<YieldPoint> yield_points(const solver::Elasticity &elasticity, const solver::Vector &displacement, const ChosenBone &chosen);
/// Factor at which solver::bone_share of it is past its yield strain.
double bone_share_factor(const std::vector<YieldPoint> &points);
} // namespace stifle::checks
