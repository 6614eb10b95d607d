// solver/cg_contact.h - contact of the cut in the space of all unknowns, each linear step by preconditioned Krylov iterations
//   equation   K u + G^T q(G u) = f, G u = w the jump at the pairs, q contact with friction and callus: the laws of cut_faces.h, the
//              same equilibrium as cut_newton.h finds in compliance form
//   way        semismooth Newton with backtracking; residuals are measured through the preconditioner, about as displacements (as the
//              compliance form does). A linear step is solved to a share only (inexact Newton). The matrix that the preconditioner
//              comes from holds what the faces were like when it was made; it is made anew when a step costs too many iterations
//   limits     as in cut_newton.h; when the search stalls it goes through soft contact and growing friction
#pragma once
#include "solver/cg_construct.h"

namespace stifle::solver
{
struct CgContactProblem
{
  const CutFaces &faces;
  Vector          force; ///< on the unknowns
  ContactLaw      law;
  double          callus_normal = 0, callus_tangential = 0;
  double          tolerance = 1e-8; ///< of the last Newton step's displacement over the largest displacement
};

struct CgContactSolution
{
  Vector u, w;           ///< unknowns; jump of the pairs (normal, two tangents)
  Vector q;              ///< forces on w, contact and callus
  int    iterations = 0; ///< of Newton
  int    linear_iterations = 0, setups = 0;
  double residual  = 0; ///< largest displacement of the last Newton step over the largest displacement
  bool   converged = false;
};

/// Starts from `start` unless that is empty.
CgContactSolution solve_contact(CgConstruct &system, const CgContactProblem &problem, const Vector &start);
} // namespace stifle::solver
