// models/limb/hip.h - hip contact force from the same muscle solution (check case J21), sagittal plane
//   frame   tibia frame at that instant; forces act ON the limb
//   model   free body of the whole limb: ground force + weights + hip muscles + pelvis on femoral head = 0.
//           The hip needs `net_moments().hip_nmm`; a share of the quadriceps (rectus femoris) crosses the hip and bends it;
//           extensors of one arm balance both. A need below zero is met by flexors of the same arm. All hip muscles pull
//           along the femur axis, which gives the largest contact force for their size.
//   source  arms and share are assumptions: the reference sheets give none for the hip (joint.md section 9)
//   limits  no frontal plane (side force dropped, no gluteal abductors), no co-contraction: a lower bound of the measured force
#pragma once
#include "models/limb/statics.h"

namespace stifle
{
struct HipAssumptions
{
  double extensor_arm_mm = 35; ///< hamstrings and gluteals together, femur of 195 mm; scaled with femur length
  double rectus_arm_mm = 25;   ///< scaled with femur length
  double rectus_share = 0.25;  ///< part of the quadriceps force
};

struct HipForce
{
  double extensor_n = 0; ///< < 0: flexors
  double rectus_n = 0;
  Vector3 contact = Vector3::Zero(); ///< pelvis on femoral head
  double contact_bw = 0;             ///< its size / body weight
};
HipForce hip_force(const StanceLoad &load, const Anatomy &anatomy, double quadriceps_n, const HipAssumptions &assumptions = {});
} // namespace stifle
