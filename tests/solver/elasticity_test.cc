#include "mesh/block.h"
#include "solver/elasticity.h"
#include "solver/reference_element.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
// Two regular-ish tetrahedra that share a face, by hand.
mesh::TetMesh two_tetrahedra()
{
  mesh::TetMesh m;
  m.points     = {{0, 0, 0}, {2, 0, 0}, {0, 3, 0}, {0.3, 0.2, 4}, {2.5, 2.7, 1}};
  m.tetrahedra = {{0, 1, 2, 3}, {1, 4, 2, 3}};
  m.part       = {0, 0};
  m.parts      = {"block"};
  m.component  = {0};
  return m;
}

// u = A x + quadratic terms, evaluated at the nodes.
Vector at_nodes(const Elasticity &e, const std::function<Vector3(const Vector3 &)> &f)
{
  Vector u(3 * e.n_nodes());
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    u.segment<3>(3 * i) = f(e.nodes()[i]);
  return u;
}
} // namespace

// Requirement: vertices come first, then one node in the middle of each edge, cells in VTK order.
// Hand count: two tetrahedra that share a face have 5 vertices and 9 edges.
TEST(Elasticity, NumbersVerticesThenEdges)
{
  const auto       m = two_tetrahedra();
  const Elasticity e(m, {{1000, 0.3}});
  ASSERT_EQ(e.n_nodes(), 14u);
  for (std::size_t i = 0; i < 5; ++i)
    EXPECT_EQ(e.nodes()[i], m.points[i]);
  const int ends[6][2] = {{0, 1}, {1, 2}, {2, 0}, {0, 3}, {1, 3}, {2, 3}}; // VTK: quadratic tetrahedron, mid-edge nodes
  for (const Cell &cell : e.cells())
    for (int k = 0; k < 6; ++k)
    {
      const Vector3 middle = 0.5 * (e.nodes()[cell[ends[k][0]]] + e.nodes()[cell[ends[k][1]]]);
      EXPECT_LT((e.nodes()[cell[4 + k]] - middle).norm(), 1e-14);
    }
  EXPECT_EQ(e.edge_node(0, 4), -1);
}

// Requirement: the face rule integrates P2 times P2 exactly. Closed form: integral of b0^i b1^j b2^k over a triangle
// of area 1 is 2 i! j! k! / (i + j + k + 2)!; b0^4 -> 2*24/720 = 1/15, b0^2 b1^2 -> 2*4/720 = 1/90.
TEST(ReferenceElement, FaceRuleIsExactToDegreeFour)
{
  double b4 = 0, b22 = 0, b211 = 0;
  for (const auto &q : reference_element().face_points)
  {
    b4 += q.weight * std::pow(q.barycentric(0), 4);
    b22 += q.weight * std::pow(q.barycentric(0) * q.barycentric(1), 2);
    b211 += q.weight * std::pow(q.barycentric(0), 2) * q.barycentric(1) * q.barycentric(2);
    EXPECT_GT(q.weight, 0);
  }
  EXPECT_GE(reference_element().face_points.size(), 6u);
  EXPECT_NEAR(b4, 1.0 / 15, 1e-14);
  EXPECT_NEAR(b22, 1.0 / 90, 1e-14);
  EXPECT_NEAR(b211, 2.0 * 2 / 720, 1e-14);
}

// Requirement: rigid motion (translation and small rotation) gives no stress and no force.
TEST(Elasticity, RigidMotionGivesNoStress)
{
  const auto       m = two_tetrahedra();
  const Elasticity e(m, {{1000, 0.3}});
  const Vector3    turn(0.01, -0.02, 0.03);
  const Vector     u = at_nodes(e, [&](const Vector3 &x) { return Vector3(Vector3(1, 2, 3) + turn.cross(x)); });
  for (const double s : e.stress(u, 1, {0.1, 0.2, 0.3, 0.4}))
    EXPECT_NEAR(s, 0, 1e-11);
  EXPECT_LT((e.stiffness() * u).norm(), 1e-10);
}

// Requirement: a quadratic field is represented exactly. Hand calculation with E = 1000, nu = 0.25: mu = 400, lambda = 400.
// u = (x^2, 0, x y): du1/dx = 2x, du3/dx = y, du3/dy = x; at x = (1, 1, 1): trace 2, s_xx = lambda 2 + 2 mu 2 = 800 + 1600, s_yy = s_zz = 800,
// s_xy = 0, s_yz = 400 * 1, s_xz = 400 * 1.
TEST(Elasticity, QuadraticFieldHasItsStress)
{
  const auto       m = two_tetrahedra();
  const Elasticity e(m, {{1000, 0.25}});
  const Vector     u = at_nodes(e, [](const Vector3 &x) { return Vector3(x.x() * x.x(), 0, x.x() * x.y()); });
  Matrix3          edges;
  for (int d = 0; d < 3; ++d)
    edges.col(d) = m.points[d + 1] - m.points[0];
  const Vector3         local = edges.inverse() * Vector3(1, 1, 1);
  const Eigen::Vector4d b(1 - local.sum(), local(0), local(1), local(2));
  const auto            s           = e.stress(u, 0, b);
  const double          expected[6] = {2400, 800, 800, 0, 400, 400};
  for (int k = 0; k < 6; ++k)
    EXPECT_NEAR(s[k], expected[k], 1e-9);
}

// Requirement: forces summed cell by cell are K u.
TEST(Elasticity, InternalForceIsStiffnessTimesDisplacement)
{
  const auto       m = two_tetrahedra();
  const Elasticity e(m, {{1000, 0.3}});
  const Vector     u = Vector::LinSpaced(3 * e.n_nodes(), -1, 1).array().sin();
  Vector           f = Vector::Zero(u.size());
  e.add_internal_force(u, f);
  EXPECT_LT((f - e.stiffness() * u).norm(), 1e-12 * f.norm());
}

// Requirement: a pulled bar has the uniform stress of the closed form s = F/A, u = s L / E, and reactions equal the load.
TEST(Elasticity, PulledBarHasUniformStress)
{
  mesh::BlockOptions options;
  options.cells = {2, 2, 4};
  options.map   = [](const Vector3 &x) { return Vector3(2 * x.x(), 3 * x.y(), 10 * x.z()); };
  const auto         m = mesh::block_mesh(options);
  const Elasticity   e(m, {{200, 0.3}});
  Vector             f = Vector::Zero(3 * e.n_nodes());
  e.add_traction(m.find_surface("z1")->triangles, [](const Vector3 &, const Vector3 &n) { return Vector3(5.0 * n); }, f);
  std::vector<Fixed> fixed;
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    for (int c = 0; c < 3; ++c) // symmetry planes x = 0, y = 0, z = 0
      if (std::abs(e.nodes()[i](c)) < 1e-9)
        fixed.push_back({i, c, 0});
  SolveReport  report;
  Vector       reaction;
  const Vector u = solve(e, fixed, f, &report, &reaction);
  EXPECT_TRUE(report.converged);
  double total = 0;
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
  {
    EXPECT_NEAR(u(3 * i + 2), 5.0 / 200 * e.nodes()[i].z(), 1e-11);
    EXPECT_NEAR(u(3 * i), -0.3 * 5.0 / 200 * e.nodes()[i].x(), 1e-11);
    total += reaction(3 * i + 2);
  }
  EXPECT_NEAR(total, -30.0, 30.0 * 1e-10); // 5 MPa on 2 x 3 mm
  const RecoveredStress r = recover_stress(e, u);
  for (const auto &s : r.stress_mpa)
    EXPECT_NEAR(von_mises(s), 5.0, 1e-9);
  for (const double percent : r.cell_error_percent)
    EXPECT_LT(percent, 1e-6);
  EXPECT_NEAR(r.part_energy_density[0], 0.5 * 25.0 / 200, 1e-11); // s^2 / 2E
}

// Requirement: stress is never averaged across a material border. Closed form: two columns stretched together by the
// strain 0.001 with Poisson ratio 0 carry E * strain each: 1 and 10 MPa, also at the shared nodes.
TEST(Elasticity, StressKeepsItsJumpAtMaterialBorders)
{
  mesh::BlockOptions options;
  options.cells = {2, 1, 2};
  options.part  = [](const Vector3 &x) { return x.x() < 0.5 ? "soft" : "stiff"; };
  const auto m  = mesh::block_mesh(options);
  std::vector<IsotropicMaterial> materials(m.parts.size());
  for (std::size_t p = 0; p < m.parts.size(); ++p)
    materials[p] = {m.parts[p] == "soft" ? 1000.0 : 10000.0, 0.0};
  const Elasticity      e(m, materials);
  const RecoveredStress r = recover_stress(e, at_nodes(e, [](const Vector3 &x) { return Vector3(0, 0, 0.001 * x.z()); }));
  for (std::size_t k = 0; k < r.node.size(); ++k)
    EXPECT_NEAR(r.stress_mpa[k][2], m.parts[r.part[k]] == "soft" ? 1.0 : 10.0, 1e-10);
}
