#include "mesh/block.h"
#include "solver/calculix.h"
#include "tests/support/program.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

// Requirement: CalculiX (an independent program) finds the same stress in every cell of a bar whose cells are orthotropic in axes that differ from
// cell to cell, with some isotropic cells of their own between them: within 1e-6 of the largest.
TEST(CalculiX, AgreesOnOrthotropicCells)
{
  mesh::BlockOptions options;
  options.cells = {{2, 2, 4}};
  options.map   = [](const Vector3 &x) { return Vector3(4 * x.x(), 3 * x.y() + x.x() * x.z() * (1 - x.z()), 12 * x.z()); };
  const auto                m = mesh::block_mesh(options);
  const Orthotropic         canine = *find_material("cortical_bone").orthotropic;
  std::vector<CellMaterial> own;
  for (std::size_t c = 0; c < m.tetrahedra.size(); ++c)
    if (c % 5 == 0)
      own.push_back({c, {500 + 10.0 * c, 0.2}, {}});
    else
      own.push_back({c, {1, 0.3}, orthotropic_law(canine, Eigen::AngleAxisd(0.1 * c, Vector3(1, 0.01 * c, -1).normalized()).toRotationMatrix())});
  const Elasticity e(m, {{1000, 0.3}}, own);
  Vector           force = Vector::Zero(3 * e.n_nodes());
  for (const char *end : {"z0", "z1"}) // a pull that balances
    e.add_traction(m.find_surface(end)->triangles, [](const Vector3 &, const Vector3 &n) { return Vector3(8 * n); }, force);
  for (std::size_t i = 0; i < e.n_nodes(); ++i) // ends are square to z but for rounding
    force(3 * i) = force(3 * i + 1) = 0;
  std::vector<Fixed> fixed;
  const auto vertex = [&](const Vector3 &reference) {
    const Vector3 x = options.map(reference);
    for (std::size_t i = 0; i < m.points.size(); ++i)
      if ((m.points[i] - x).norm() < 1e-9)
        return i;
    return std::size_t(-1);
  };
  for (int c = 0; c < 3; ++c)
    fixed.push_back({vertex({0, 0, 0}), c, 0});
  fixed.push_back({vertex({0, 0, 1}), 0, 0});
  fixed.push_back({vertex({0, 0, 1}), 1, 0});
  fixed.push_back({vertex({1, 0, 0}), 1, 0});
  Vector       reaction;
  const Vector u = solve(e, fixed, force, nullptr, &reaction);
  EXPECT_LT(reaction.norm(), 1e-8);
  const CalculixResult ccx = run_calculix(e, force, fresh_folder("calculix_orthotropic"));
  double               largest = 0, worst = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    const auto ours = e.stress(u, c, Eigen::Vector4d::Constant(0.25)); // linear in the cell: the mean is the one at the centre
    for (int k = 0; k < 6; ++k)
    {
      largest = std::max(largest, std::abs(ours[k]));
      worst   = std::max(worst, std::abs(ours[k] - ccx.mean_stress[c][k]));
    }
  }
  EXPECT_GT(largest, 8);
  EXPECT_LT(worst, 1e-6 * largest);
  std::printf("  CalculiX, orthotropic cells: largest difference of stress %.2e of the largest\n", worst / largest);
}
