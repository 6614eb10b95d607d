#include "mesh/block.h"
#include "solver/calculix.h"
#include "solver/plastic_construct.h"
#include "solver/plastic_solve.h"
#include "tests/solver/calculix_support.h"
#include "tests/solver/plated_block.h"
#include "tests/support/program.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
/// Cantilever 24 x 4 x 4 mm: clamped at x = 0, the end x = 24 moved by 1 mm in z, three times the deflection of first yield
/// (s L^2 / (1.5 E h) = 690 * 576 / (1.5 * 193000 * 4) = 0.343 mm).
mesh::TetMesh beam_mesh()
{
  mesh::BlockOptions options;
  options.cells = {{12, 3, 3}};
  options.map = [](const Vector3 &x) { return Vector3(24 * x.x(), 4 * x.y(), 4 * x.z()); };
  return mesh::block_mesh(options);
}

double von_mises_of(const Voigt &s) { return von_mises({{s(0), s(1), s(2), s(3), s(4), s(5)}}); }

/// One component whose tied faces share their nodes; the two sides of the cut are two free faces.
mesh::TetMesh joined(const mesh::TetMesh &apart)
{
  mesh::TetMesh m = apart;
  const Elasticity e(apart, std::vector<IsotropicMaterial>(m.parts.size(), {1, 0.3}));
  const std::vector<unsigned> same = merged_nodes(e, false);
  std::vector<unsigned> number(m.points.size(), 0); // a vertex without a cell would be a node without stiffness
  std::vector<Vector3> points;
  for (std::size_t i = 0; i < number.size(); ++i)
    if (same[i] == i)
    {
      number[i] = static_cast<unsigned>(points.size());
      points.push_back(m.points[i]);
    }
  for (mesh::Tetrahedron &t : m.tetrahedra)
    for (unsigned &v : t)
      v = number[same[v]];
  for (mesh::Surface &surface : m.surfaces)
    for (mesh::Triangle &t : surface.triangles)
      for (unsigned &v : t)
        v = number[same[v]];
  m.points = points;
  m.cut.clear();
  m.threads.clear();
  std::fill(m.component.begin(), m.component.end(), 1);
  return m;
}

struct Compared
{
  PlasticResult ours;
  CalculixResult theirs;
  Vector3 force = Vector3::Zero(), their_force = Vector3::Zero(); ///< sum of the reactions at the moved nodes
};

/// Both programs move `moved` by the values of `problem.fixed`.
Compared compare(const PlasticProblem &problem, const std::vector<std::size_t> &moved, const std::string &name)
{
  Compared c;
  PlasticOptions options;
  options.factors = {0.25, 0.5, 0.75, 1};
  c.ours = solve_plastic(problem, options);
  CalculixJob job;
  job.fixed = problem.fixed;
  job.plastic = problem.materials;
  job.first_step = 0.1;
  c.theirs = run_calculix(problem.elasticity, job, fresh_folder(name));
  for (const std::size_t i : moved)
  {
    c.force += c.ours.reaction.segment<3>(3 * i);
    c.their_force += c.theirs.reaction.segment<3>(3 * i);
  }
  return c;
}
} // namespace

// Requirement (issue 6): CalculiX, an independent program, finds the same elastoplastic beam within 3 %: total reaction at the
// moved end, and the largest von Mises stress (means of elements).
TEST(CalculiX, AgreesOnAnElastoplasticBeam)
{
  const mesh::TetMesh beam = beam_mesh();
  const PlasticMaterial steel = metal(find_material("steel_316l_cold_worked"), elongation_at_break("steel_316l_cold_worked"));
  const Elasticity e(beam, {{steel.modulus_mpa, steel.poisson_ratio}});
  PlasticProblem problem{e, {steel}, {}, {}, {}, nullptr, {}};
  std::vector<std::size_t> tip;
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
  {
    for (int c = 0; c < 3 && e.nodes()[i].x() < 1e-9; ++c)
      problem.fixed.push_back({i, c, 0});
    if (e.nodes()[i].x() > 24 - 1e-9)
    {
      problem.fixed.push_back({i, 2, 1});
      tip.push_back(i);
    }
  }
  const Compared c = compare(problem, tip, "calculix_plastic");
  ASSERT_FALSE(c.ours.collapsed);
  double peak = 0, their_peak = 0;
  for (std::size_t k = 0; k < e.cells().size(); ++k)
  {
    peak = std::max(peak, von_mises_of(c.ours.mean_stress_mpa[k]));
    their_peak = std::max(their_peak, von_mises(c.theirs.mean_stress[k]));
  }
  EXPECT_GT(c.force.z(), 0.7 * 690 * 64 / 6 / 24); // past first yield: section modulus 64/6, lever 24
  EXPECT_GT(c.ours.plastic_volume_mm3, 10);
  EXPECT_NEAR(c.force.z(), c.their_force.z(), 0.03 * c.force.z());
  EXPECT_NEAR(peak, their_peak, 0.03 * peak);
  std::printf("  elastoplastic beam: force %.3f N, CalculiX %.3f; peak %.2f MPa, CalculiX %.2f\n", c.force.z(), c.their_force.z(),
              peak, their_peak);
}

// Requirement (issue 6): the same for a plated block: the cut is an open gap, the plate tied to the bone flows, the upper end is
// pushed down and aside against the held lower one. Total reaction and the peak of the plate within 3 %.
TEST(CalculiX, AgreesOnAnElastoplasticPlate)
{
  const mesh::TetMesh block = joined(plated_block().mesh);
  const ConstructMaterials m = plated_materials();
  std::vector<PlasticMaterial> materials;
  std::vector<IsotropicMaterial> elastic;
  for (const std::string &part : block.parts)
  {
    materials.push_back(part == "plate" ? metal(m.plate, elongation_at_break(m.plate.name))
                                        : PlasticMaterial{m.cortex.modulus_mpa, m.cortex.poisson_ratio});
    elastic.push_back({materials.back().modulus_mpa, materials.back().poisson_ratio});
  }
  const Elasticity e(block, elastic);
  PlasticProblem problem{e, materials, {}, {}, {}, nullptr, {}};
  std::vector<std::size_t> moved;
  for (const std::size_t i : nodes_of(e, block.find_surface("talar")->triangles))
    for (int c = 0; c < 3; ++c)
      problem.fixed.push_back({i, c, 0});
  for (const std::size_t i : nodes_of(e, block.find_surface("plateau")->triangles))
  {
    problem.fixed.push_back({i, 0, -0.6});
    problem.fixed.push_back({i, 2, -0.1});
    moved.push_back(i);
  }
  const Compared c = compare(problem, moved, "calculix_plastic_plate");
  ASSERT_FALSE(c.ours.collapsed);
  EXPECT_GT(c.ours.plastic_volume_mm3, 10);
  EXPECT_GT(c.force.norm(), 100);
  EXPECT_LT((c.force - c.their_force).norm(), 0.03 * c.force.norm());
  std::vector<std::array<double, 6>> ours;
  for (const Voigt &s : c.ours.mean_stress_mpa)
    ours.push_back({{s(0), s(1), s(2), s(3), s(4), s(5)}});
  const PlatePeak peak = plate_peak(e, ours), other = plate_peak(e, c.theirs.mean_stress);
  EXPECT_GT(peak.mpa, 690);
  EXPECT_NEAR(peak.mpa, other.mpa, 0.03 * peak.mpa);
  std::printf("  elastoplastic plate: force (%.2f %.2f %.2f) N, CalculiX (%.2f %.2f %.2f); plate %.2f MPa, CalculiX %.2f; flowed %.1f "
              "mm^3; %.0f s, CalculiX %.0f s\n",
              c.force.x(), c.force.y(), c.force.z(), c.their_force.x(), c.their_force.y(), c.their_force.z(), peak.mpa, other.mpa,
              c.ours.plastic_volume_mm3, c.ours.seconds, c.theirs.seconds);
}
