// solver/calculix.h - the same construct solved by CalculiX (ccx), for comparison only
//   model   C3D10 with our node order (VTK edges 01 12 02 03 13 23 = C3D10 12 23 13 14 24 34); threads, and the cut unless it is
//           in contact, bonded by one node id for each coincident pair; the same nodal forces. Without `fixed` they balance, so six
//           statically determinate zero displacements carry nothing, and the caller removes rigid motion when comparing
//   contact node to surface, penalty: linear pressure over penetration and a linear stick slope of the same stiffness, in a deck
//           without *NLGEOM; slave = distal side
//   metal   *PLASTIC with the two points of PlasticMaterial; small strain
//   files   job.inp, job.dat in `folder` (must exist); numbers at most 20 characters (CalculiX misreads longer ones)
//   cost    wall seconds and peak resident memory of the process ccx alone
//   errors  Error when ccx is missing, stops early or leaves no result
#pragma once
#include "solver/cut_faces.h"
#include "solver/plasticity.h"
#include <optional>

namespace stifle::solver
{
/// For each node the node whose id it shares: screw thread nodes become bone and, with `cut_too`, distal cut nodes proximal.
std::vector<unsigned> merged_nodes(const Elasticity &elasticity, bool cut_too = true);

struct CalculixJob
{
  Vector                       nodal_force; ///< N; may be empty
  std::vector<Fixed>           fixed;       ///< empty: six determinate zeros; no node of a merged pair but the kept one
  std::optional<ContactLaw>    contact;     ///< of the cut (gap_mm is not used); none: bonded
  std::vector<PlasticMaterial> plastic;     ///< per part; empty: elastic
  double                       first_step = 1; ///< share of the load of the first increment
  int                          threads = 1;
};

struct CalculixResult
{
  Vector                             displacement; ///< per node, merged nodes equal
  Vector                             reaction;     ///< at the nodes of `fixed`, 0 elsewhere
  std::vector<std::array<double, 6>> mean_stress;  ///< per cell, mean of the four integration points, xx yy zz xy yz xz
  double                             seconds = 0, peak_mb = 0;
};
CalculixResult run_calculix(const Elasticity &elasticity, const CalculixJob &job, const std::string &folder);
/// Elastic and bonded, loads that balance.
CalculixResult run_calculix(const Elasticity &elasticity, const Vector &nodal_force, const std::string &folder, int threads = 1);
} // namespace stifle::solver
