// models/margins/strength_draw.h - spread of the strengths: what a drawn construct bears
//   law      log-normal about the capacity of modes.h: capacity * exp(z sqrt(ln(1 + cv^2))), z from a standard normal, so the
//            middle stays the capacity and nothing falls below 0. Life of metal: z spreads of log life (life.h)
//   cv       one standard deviation over the capacity:
//              metal yield          5 %   assumption: the sheets give minima of a standard, no spread
//              bone, yield and threads  20 %   "take as +-20 %", construct.md section 6 (memory), half range read as one SD
//              fatigue of bone     20 %   the same, on the strain
//              ligament, tendon    25 %   assumption: of the order of the failure loads of constructs, 25 to 28 % (S12)
//              tuberosity, whole bone      with their sources in modes.cc
//   shared   one number for everything that breaks by the same material; 0: the middle
#pragma once
#include "models/margins/modes.h"

namespace stifle
{
constexpr double metal_strength_cv = 0.05, bone_strength_cv = 0.20, soft_tissue_strength_cv = 0.25;

/// Standard normal numbers.
struct StrengthDraw
{
  double plate = 0, screws = 0; ///< yield
  double plate_life = 0, screw_life = 0;
  double bone = 0; ///< yield, strain, threads, fatigue
  double tuberosity = 0, soft_tissue = 0, whole_bone = 0;
};

/// Capacity of a margin of one state in a drawn construct; that of fatigue is always 1 (its life is drawn instead).
double drawn_capacity(const Margin &margin, const StrengthDraw &draw);
/// exp(z sqrt(ln(1 + cv^2)))
double log_normal_factor(double cv, double z);
} // namespace stifle
