// mesh/implant_solids.h - plate and screws of a fit as solids in the open Gmsh session
//   errors  Error: an operation of the CAD kernel that leaves other than one piece, named by plate or screw
#pragma once
#include "mesh/implant_fit.h"
#include "mesh/occ_solids.h"

namespace stifle::mesh
{
/// The parametric plate first, then its screws. Screws of locking heads overlap the plate and end in a stub outside of it. A plate
/// that presses (plate.bone_contact) is shaped to `bones`.
NamedSolids implant_solids(const ImplantFit &fit, const PlateParameters &plate, const Tags &bones);
/// A user's plate, moved to its seat, first, then its screws.
NamedSolids user_implant_solids(const ImplantFit &fit, int plate);
/// The parametric plate with every hole bored that no locking screw fills.
int bored_plate(const ImplantFit &fit, const PlateParameters &plate);
} // namespace stifle::mesh
