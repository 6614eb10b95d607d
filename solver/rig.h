// solver/rig.h - a bench test on the construct: specimen, forces of the rig in place of the joint's, answer
//   same path as the limb: ConstructModel with its assembly, threads, contact, recovery and peaks
//   load    size = force (N) or, for torsion, moment (N mm). Its displacement (mm or rad) is work / size: conjugate to the load, the
//           supports held in the mean
//   axial       two condyle contacts, half each, along the functional axis; an offset adds a couple on the plateau; talar end held
//   tendon_pull the free body of the intact joint in the set press at loads.stifle_angle_deg (tendon, contacts, ligaments), scaled until
//               the tendon pulls with the force; talar end held. Displacement: mean over all these forces, no travel of the tendon
//   pull_out    outer end of one screw along its axis against a ring of skin around it; plate left out, cut bonded
//   four-point  rollers as patches with their resultant on the roller line; balanced, nothing is held
//   torsion     couple on the end of the proximal tube, distal end held in the mean: free to shift sideways
//   errors  Error: what cannot be meshed or placed, a contact that does not converge
#pragma once
#include "mesh/rig_mesh.h"
#include "solver/plastic_construct.h"

namespace stifle::solver
{
struct RigBench
{
  mesh::RigSpecimen specimen;
  ConstructMaterials materials;
  CutLaw law;
  RigParameters rig;
  std::vector<PointForce> unit; ///< for size 1

  std::vector<PointForce> forces(double size) const;
  double size() const { return rig.kind == "torsion" ? rig.moment_nmm : rig.force_n; }
  bool turns() const { return rig.kind == "torsion"; }
};
/// `levelling`: of the tibia; not used for plate and tubes.
RigBench make_bench(const Scenario &scenario, const Levelling &levelling);
/// The refusals of make_bench that need no mesh.
void check_bench(const Scenario &scenario, const Levelling &levelling);

struct RigDamage
{
  std::string part, what; ///< what: yield | shaft (solver/screw_shaft.h) | bone strain
  double size = 0;        ///< load at which it starts, N or N mm: linear from the state at the full load
  Vector3 place_mm = Vector3::Zero();
};

struct RigAnswer
{
  ConstructState state; ///< at the full size
  double size = 0, displacement = 0;
  double low_size = 0, low_displacement = 0; ///< axial; else 0
  double far_closing_mm = 0; ///< tubes: the ends come together on the side away from the plate
  Vector3 turn_rad = Vector3::Zero(); ///< of the proximal segment against the distal one
  std::vector<RigDamage> damage; ///< first one first; cancellous bone and tubes are not judged
  double bone_limit_size = 0; ///< load at which bone_share of a segment's cortex passes its yield strains; 0: no such bone
  double stiffness() const { return (size - low_size) / (displacement - low_displacement); }
};
RigAnswer solve_rig(const RigBench &bench, ConstructModel &model);

/// Load in N or N mm at each limit of a push: 0 where it is not within the load reached.
struct RigCollapse
{
  CollapseResult push;
  double first_yield = 0, fracture = 0, bone_limit = 0, reached = 0;
  /// The lowest of collapse, fracture of metal and the limit of bone; 0 when none is reached.
  double failure() const;
};
/// `law`: of the cut (bonded for a fresh cut, whose push is slow: DEVELOPERS.md "Plasticity"). `to_first_limit`: ends where metal or
/// bone is broken; else goes on to the last factor.
RigCollapse push_rig(const RigBench &bench, const CutLaw &law, bool open_cut, const std::vector<double> &factors,
                     bool to_first_limit = false);

/// Factors of a push: steps of 0.5 up to the largest.
std::vector<double> push_factors(double largest);

/// ASTM F382: K h^2 (2 h + 3 k) / 12, N mm2; k in N/mm at the loading rollers, spans in mm.
double f382_bending_stiffness(double stiffness_n_per_mm, double span_mm, double centre_span_mm);
} // namespace stifle::solver
