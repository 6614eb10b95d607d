// solver/plastic_solve.h - quasi-static elastoplastic solve in load steps: Newton with the consistent tangent, line search
//   steps   load = factor * (force, prescribed displacements); the factors are gone through in order, also downwards
//   failure a step that finds no equilibrium is halved back to the last state found. Where that ends, within `smallest_step`
//           of the load reached, the run is `collapsed`: the load reached and all states before it are kept, no exception
//   bound   `most_iterations` of Newton for the whole run: one costs at most a factorisation, 40 steps of GMRES and 6 residuals.
//           Where they are used up the run ends, not collapsed, with the load reached and the reason
//   limits  small strain: no buckling, no hardening by shape
#pragma once
#include "solver/plastic_system.h"
#include <functional>

namespace stifle::solver
{
struct PlasticStep ///< one equilibrium
{
  double factor = 0;
  int iterations = 0;
  std::vector<double> residuals; ///< of each iteration, relative to the load (or to the reactions)
  double plastic_volume_mm3 = 0; ///< flowed so far, at quadrature points
  double peak_plastic_strain = 0;
  double largest_displacement_mm = 0;
  std::vector<PlasticSystem::PartSums> parts; ///< per part of the mesh
};

struct PlasticOptions
{
  std::vector<double> factors = {1};
  double tolerance = 1e-9; ///< of the relative residual
  int max_iterations = 25;
  double smallest_step = 0.01; ///< of the factor: how well the collapse is known
  double runaway = 50;         ///< displacement over that of the elastic body at the same load, where a step is given up
  int patience = 20;           ///< iterations of GMRES before a new factor (0: a new factor for each matrix)
  std::function<void(const PlasticStep &, const Vector &displacement)> on_step; ///< after each equilibrium
  int most_iterations = 0;      ///< of the whole run without those of steps given up, which smallest_step bounds; 0: no bound
  std::function<bool()> enough; ///< asked after each equilibrium: true ends the run there, not collapsed
  Vector start; ///< displacement per node of the elastic body at factor 1, contact included; empty: solved for a cut that sticks, or an open gap
};

struct PlasticResult
{
  double load_factor_reached = 0; ///< largest factor in equilibrium
  bool collapsed = false;
  std::string reason; ///< why it ended early
  int iterations = 0, factorisations = 0;
  std::vector<PlasticStep> steps;
  std::vector<double> failed_residuals; ///< of the last step given up
  double plastic_volume_mm3 = 0;        ///< at the last equilibrium
  Vector displacement, reaction;        ///< per node, last equilibrium; reaction at prescribed components
  std::vector<Voigt> mean_stress_mpa;   ///< per cell, mean of its 4 points
  double seconds = 0;
};
PlasticResult solve_plastic(const PlasticProblem &problem, const PlasticOptions &options);
} // namespace stifle::solver
