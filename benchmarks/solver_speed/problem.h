// benchmarks/solver_speed/problem.h - the demo construct as a problem that several programs solve, and its arrays on disk
//   arrays  raw little-endian files in a folder: vertices.f64, tetrahedra.i64, modulus.f64, poisson.f64 (per tetrahedron), points.f64
//           (quadratic nodes), force.f64, ours.f64 (at the points); problem.json: pins [[point, 3 x 3 stiffness], ...]
//   bonded  nodes of the cut and of the threads that coincide are one point (solver/calculix.h merged_nodes)
#pragma once
#include "solver/construct_model.h"

namespace stifle::bench
{
struct Case
{
  Scenario            scenario;
  Anatomy             anatomy = make_anatomy(scenario);
  Levelling           levelling;
  mesh::ConstructMesh construct;
};
/// Large dog with every default, levelled to 6 degrees; not meshed yet.
Case demo_case();

solver::ConstructMaterials materials(const Case &c, bool bonded_threads);
solver::CutLaw             week_law(const Case &c, double week);
/// Loads of an instant. Throws Error when the joint does not converge.
std::vector<PointForce> loads(const Case &c, const std::string &activity, double percent);
std::vector<PointForce> scaled(std::vector<PointForce> loads, double factor);
/// Walk and trot, as they are and 1.3 times as hard, x three instants of a stance, each instant after the one before.
std::vector<solver::LoadStep> stances(const Case &c);

/// Everything above from the state solved last. Returns |K u - f| / |f|.
double         write_problem(const Case &c, const solver::ConstructModel &model, const std::string &folder);
/// Nodal forces as written, on the kept node of every point.
solver::Vector read_force(const solver::Elasticity &elasticity, const std::string &folder);
/// A nodal field at the points.
void           write_at_points(const solver::Elasticity &elasticity, const solver::Vector &field, const std::string &file);
} // namespace stifle::bench
