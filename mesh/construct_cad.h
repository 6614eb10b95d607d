// mesh/construct_cad.h - the solids of the construct in the open Gmsh session, fragmented so that neighbours share faces
//   frame  unoperated tibia; the proximal pieces are already turned
#pragma once
#include "mesh/mesh_size.h"
#include "mesh/occ_solids.h"
#include <map>
#include <set>

namespace stifle::mesh
{
struct ConstructCad
{
  std::map<int, std::string> part_of_volume; ///< volume tag to part name
  ImplantFit fit;                            ///< empty without a cut
  std::set<std::pair<int, int>> plate;       ///< dimension and tag of a user's plate and its faces and edges; else empty
  std::vector<SizePoint> steps;              ///< along the edges of both cut faces, finer where the edges run close
};

/// With a pull-out rig (rig.kind) the plate is left out: its screws keep their length up to its outer face.
ConstructCad build_cad(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling);
/// Plate and locking screws of a fit on given solids (tag and part name; there may be none), for the bench rigs.
ConstructCad build_cad(const NamedSolids &bones, const ImplantFit &fit, const PlateParameters &plate);

/// The plate alone, every hole bored through and free of screws, as a STEP file (.step) in an empty session; its volume, mm3.
double write_plate_step(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling, const std::string &file);
} // namespace stifle::mesh
