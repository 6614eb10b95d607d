// mesh/user_holes.h - the plate of plate.file against the bone: seated, its holes numbered and filled
//   numbers   holes over the proximal segment first, each group from proximal to distal, at one height from caudal to cranial;
//             screws.holes, sizes, cortices and lengths_mm follow these numbers, which `stifle check` lists
//   errors    Error: plate far from the bone or in it, a hole askew (20 degrees from y), a screw that its hole does not take,
//             a plain screw, a segment without a screw
//   limits    a locking screw fills its hole where the cylinder of the hole is there all round, less 0.4 mm at a slanted rim
#pragma once
#include "mesh/screw_rules.h"
#include "mesh/user_plate.h"

namespace stifle::mesh
{
/// `screws`: all holes in the order of their numbers, not yet placed in the bone.
ImplantFit seat_user_plate(const Scenario &scenario, const UserPlate &user, const BoneSite &site);

/// One line per hole: number, diameter, place and axis in the file and on the bone, screw, segment; a line for the placement.
std::vector<std::string> list_holes(const Scenario &scenario, const ImplantFit &fit, const RigidFit &placement);
} // namespace stifle::mesh
