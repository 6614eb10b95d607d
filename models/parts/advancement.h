// models/parts/advancement.h - tibial tuberosity advancement: the tendon insertion moves cranially, nothing else does
//   frame   unoperated tibia; the move is along the plateau chord (cranial) and along its normal (proximal)
//   units   mm, radians
//   rule    A = L sin(PTA - 90) makes the tendon square to the plateau with the patella held; PTA is the tendon angle of this
//           anatomy in the reduced joint (condyles on the plateau at the intercondylar point) at stifle 135
//   errors  Error when the tendon angle is 90 deg or less and no advancement is given, or the patella cannot be placed
//   source  alternatives.md section 2b: aim (read), A (derived), 15.5 % less than the spacer (abstract)
#pragma once
#include "models/parts/levelling.h"

namespace stifle
{
constexpr double advancement_stifle_deg = 135; ///< film angle of the aim: textbook p. 228 (read)
/// An advancement is 15.5 % less than the size of the spacer: 164 dogs, 10.1186/s12917-018-1433-0 (abstract).
constexpr double spacer_loss = 0.155;
/// Sizes of spacers, mm, 3 to 15 in steps of 1.5 (memory).
const std::vector<double> &spacer_sizes_mm();
double advancement_of_spacer_mm(double spacer_mm);
/// The smallest spacer that gives at least that advancement; empty when none does.
std::optional<double> spacer_for_mm(double advancement_mm);

/// L sin(PTA - 90).
double advancement_mm(double tendon_length_mm, double tendon_angle_rad);
/// L (1 - cos(PTA - 90)): what a patella that is held asks for. A tendon made square to the plateau by a move along the plateau
/// alone sends the patella proximal by this much; a patella that stays needs the insertion distal by as much.
double patella_shift_mm(double tendon_length_mm, double tendon_angle_rad);
/// Tendon against the plateau chord in the reduced joint (90: square; above: it pulls the tibia cranially).
double reduced_tendon_angle_rad(const Anatomy &anatomy, double stifle_angle_rad);

struct Advancement
{
  double tendon_angle_before_rad = 0, tendon_angle_after_rad = 0; ///< reduced joint, stifle 135; the patella finds its place anew
  double advancement_mm = 0;                                      ///< along the plateau
  double proximal_shift_mm = 0;                                   ///< along its normal
  std::optional<double> spacer_mm;                                ///< the given one, else the smallest that is enough
};
Advancement plan_advancement(const Scenario &scenario, const Anatomy &anatomy);
OperatedAnatomy advance(const Anatomy &anatomy, const Advancement &advancement);
} // namespace stifle
