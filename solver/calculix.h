// solver/calculix.h - the same bonded construct solved by CalculiX (ccx), for comparison only
//   model   C3D10 with our node order (VTK edges 01 12 02 03 13 23 = C3D10 12 23 13 14 24 34); cut and threads bonded by one
//           node id for each coincident pair; the same nodal forces; they balance, so six statically determinate zero
//           displacements carry nothing, and rigid motion is removed by the caller when comparing
//   files   job.inp, job.dat in `folder` (must exist); numbers at most 20 characters (CalculiX misreads longer ones)
//   cost    wall seconds and peak resident memory of the process ccx alone
//   errors  Error when ccx is missing, stops early or leaves no result
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
/// For each node the node whose id it shares: distal cut nodes become proximal, screw thread nodes become bone.
std::vector<unsigned> merged_nodes(const Elasticity &elasticity);

struct CalculixResult
{
  Vector                             displacement; ///< per node, merged nodes equal
  std::vector<std::array<double, 6>> mean_stress;  ///< per cell, mean of the four integration points, xx yy zz xy yz xz
  double                             seconds = 0, peak_mb = 0;
};
CalculixResult run_calculix(const Elasticity &elasticity, const Vector &nodal_force, const std::string &folder, int threads = 1);
} // namespace stifle::solver
