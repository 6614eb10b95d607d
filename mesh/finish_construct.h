// mesh/finish_construct.h - the last steps of every specimen with a plate: lift the quality, list the screws, split
#pragma once
#include "mesh/construct.h"
#include "mesh/implant_fit.h"

namespace stifle::mesh
{
/// `joined`: nodes shared everywhere. Fills mesh, screws and worst_quality. `inclination_rad` of the plate.
ConstructMesh finish_construct(TetMesh joined, const ImplantFit &fit, double inclination_rad, const Anatomy &anatomy,
                               const Levelling &levelling);
} // namespace stifle::mesh
