// solver/cut_newton.h - contact at the cut in compliance form: w = C (load - contact force(w)), C = (S + callus)^-1
//   forms  free: C as above, work grows with the faces that touch. stuck: the springs of a cut that sticks everywhere (law.stiffness
//          in every direction) are folded in, C = (S + callus + springs)^-1, the force is what differs from them, and work
//          grows with the faces that slip or open. Same solution; each step takes the form with less work.
//   k0     artificial stiffness inside C that is taken out again (none, or > 0 on what floats: `free_k0` in the free form, `stuck_k0`
//          in the stuck one)
//   heads  six unknowns of each plain screw behind those of the faces; few, so their law is never folded in
//   way    full nonsymmetric semismooth Newton on the faces that carry, backtracking; when it stalls (30 steps, or later on less than
//          5 % gained in ten): continuation in contact stiffness and in friction
#pragma once
#include "solver/cut_faces.h"
#include <functional>
#include <memory>

namespace stifle::solver
{
struct CutProblem
{
  using Compliance = std::function<const Eigen::MatrixXd &()>; ///< computed when first asked for
  const CutFaces &faces;
  const Vector   &load; ///< on w, N
  Compliance      free, stuck; ///< `stuck` may be empty
  Vector          free_k0 = {}, stuck_k0 = {}; ///< per unknown, or empty
  const PlainHeads *heads = nullptr;
  double          least_scale = 0; ///< mm: of the residual's measure, beside max |C load|
};

struct CutSolution
{
  Vector              w;
  int                 iterations = 0;
  double              residual   = 0; ///< max |w - base + C q| / max |base|, base = C load
  bool                converged  = false;
  std::vector<double> history; ///< residual of each iteration of the last stage
};
/// Starts from `start`; an empty one stands for the cut that sticks (free form: that follows the load alone).
CutSolution solve_cut(const CutProblem &problem, const ContactLaw &law, const Vector &start);
} // namespace stifle::solver
