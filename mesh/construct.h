// mesh/construct.h - bone, arc cut, rotated segment, plate and screws as one conforming mesh (Gmsh's CAD kernel)
//   errors  Error naming the part and the numbers: plate misses the bone, a screw passes the joint, the cut or another screw
//   limits  Gmsh keeps one global session: call from one thread at a time
#pragma once
#include "mesh/hole_plan.h"
#include "mesh/size_point.h"
#include "mesh/tet_mesh.h"
#include "models/parts/levelling.h"

namespace stifle::mesh
{
struct ConstructMesh
{
  TetMesh mesh;
  double cut_area_mm2 = 0;      ///< measured on the mesh
  double plateau_angle_rad = 0; ///< measured on the mesh: plateau chord against the new functional axis
  double chord_mm = 0;          ///< measured on the mesh
  double worst_quality = 0;
  unsigned n_merged = 0; ///< short edges merged at the steps of the cut (mesh/collapse.h)
  std::vector<std::string> warnings;
  struct Screw
  {
    std::string name; ///< screw_N: N counts the holes from proximal to distal, open ones too
    Vector3 head;     ///< where the axis leaves the inner face of the plate
    Vector3 entry;    ///< where the axis enters the bone
    Vector3 tip;
    bool proximal = false;
    HoleKind kind = HoleKind::locking;
    double core_mm = 0, major_mm = 0; ///< the thread is half their difference deep
    double preload_n = 0, compression_n = 0;   ///< of a plain screw, see HolePlan
    Vector3 along = Vector3::UnitZ();          ///< along the plate towards the cut, unit, square to the screw
  };
  std::vector<Screw> screws;
};

/// With levelling.cut == false the bone is whole and carries no plate. `finer` adds places with shorter edges.
ConstructMesh mesh_construct(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling,
                             const std::vector<SizePoint> &finer = {});

/// The refusals of mesh_construct without its mesh (under a second): throws Error naming the part and the numbers. Returns lines
/// that a user is to confirm: the holes found in the plate of plate.file.
std::vector<std::string> check_construct(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling);
} // namespace stifle::mesh
