// mesh/saw_cut.h - the arc cut through the solids of the open Gmsh session, and shorter edges where its two faces end close together
//   frame   unoperated tibia, mm
//   errors  Error: the arc leaves other than one proximal and one distal piece, or loses volume
#pragma once
#include "mesh/occ_solids.h"
#include "mesh/size_point.h"
#include "models/parts/levelling.h"

namespace stifle::mesh
{
struct Halves
{
  int proximal, distal;
};
/// Splits a solid (`name` for the errors) at the saw cylinder and turns the proximal piece. `half_length`: wider than the bone.
Halves saw(int solid, const std::string &name, const Levelling &levelling, double half_length);

/// After the turn the edges of the two cut faces run side by side. Elements between them are slivers unless their length
/// follows the distance of the edges.
std::vector<SizePoint> size_steps(double bone_size_mm, const Levelling &levelling);
} // namespace stifle::mesh
