// solver/cut_newton.h - contact at the cut in compliance form: w = base - C (contact force(w) - k0 w)
//   base  displacement of the cut under the loads without contact (callus included), C its compliance (mm/N)
//   k0    artificial stiffness inside C that is taken out again (0, or > 0 when one segment floats without plate)
//   way   full nonsymmetric semismooth Newton on the faces that carry, backtracking; when it stalls: continuation in
//         contact stiffness and in friction. limits: one load step, so friction does not know the order of loading.
#pragma once
#include "solver/cut_faces.h"

namespace stifle::solver
{
struct CutSolution
{
  Vector              w;
  int                 iterations = 0;
  double              residual   = 0; ///< max |w - base + C q| / max |base|
  bool                converged  = false;
  std::vector<double> history; ///< residual of each iteration of the last stage
};
CutSolution solve_cut(const CutFaces &faces, const Vector &base, const Eigen::MatrixXd &compliance, double k0,
                      const ContactLaw &law, const Vector &start, bool warm);
} // namespace stifle::solver
