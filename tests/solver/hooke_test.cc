#include "mesh/block.h"
#include "models/core/error.h"
#include "models/parts/material.h"
#include "solver/elasticity.h"
#include "solver/plasticity.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
Orthotropic canine() { return *find_material("cortical_bone").orthotropic; }

/// As an orthotropic law: E, nu, and G = E / 2 (1 + nu).
Orthotropic isotropic_constants(double modulus, double nu)
{
  const double g = modulus / (2 * (1 + nu));
  return {{{modulus, modulus, modulus}}, {{g, g, g}}, {{nu, nu, nu}}, {{nu, nu, nu}}, "", ""};
}

Matrix3 turned(double angle, const Vector3 &axis) { return Eigen::AngleAxisd(angle, axis.normalized()).toRotationMatrix(); }

mesh::TetMesh brick(bool lopsided = true)
{
  mesh::BlockOptions options;
  options.cells = {{2, 2, 2}};
  options.map   = [=](const Vector3 &x) {
    return Vector3(2 * x.x() + (lopsided ? 0.3 * x.y() * x.z() : 0), 3 * x.y() + (lopsided ? 0.2 * x.x() * x.x() : 0), 4 * x.z());
  };
  return mesh::block_mesh(options);
}

std::vector<CellMaterial> everywhere(const mesh::TetMesh &m, const GeneralLaw &law)
{
  std::vector<CellMaterial> own;
  for (std::size_t c = 0; c < m.tetrahedra.size(); ++c)
    own.push_back({c, {1, 0.3}, law});
  return own;
}

Vector linear_field(const Elasticity &e, const Matrix3 &gradient)
{
  Vector u(3 * e.n_nodes());
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    u.segment<3>(3 * i) = gradient * e.nodes()[i];
  return u;
}

Matrix3 tensor(const Voigt &s) { return (Matrix3() << s(0), s(3), s(5), s(3), s(1), s(4), s(5), s(4), s(2)).finished(); }
Voigt   voigt_strain(const Matrix3 &e) { return (Voigt() << e(0, 0), e(1, 1), e(2, 2), 2 * e(0, 1), 2 * e(1, 2), 2 * e(0, 2)).finished(); }
} // namespace

// Requirement: the canine constants give the stiffness printed beside them (construct.md section 6, GPa): C11 19.2, C22 22.4, C33 29.8,
// C12 10.1, C13 12.2, C23 12.2. Inverting by hand with the mean of each pair gives C12 = 10.049; the sheet's digits allow 0.06.
TEST(Hooke, CanineCortexHasTheStiffnessOfTheSheet)
{
  const VoigtTangent c = compliance(canine()).inverse() / 1000;
  EXPECT_NEAR(c(0, 0), 19.2, 0.06);
  EXPECT_NEAR(c(1, 1), 22.4, 0.06);
  EXPECT_NEAR(c(2, 2), 29.8, 0.06);
  EXPECT_NEAR(c(0, 1), 10.1, 0.06);
  EXPECT_NEAR(c(0, 2), 12.2, 0.06);
  EXPECT_NEAR(c(1, 2), 12.2, 0.06);
  EXPECT_NEAR(c(3, 3), 4.68, 1e-12);
  EXPECT_NEAR(c(5, 5), 5.68, 1e-12);
  EXPECT_NEAR(c(4, 4), 6.67, 1e-12);
}

// Requirement (reciprocity, energy): the law is symmetric and stores energy under every strain, in any axes.
TEST(Hooke, CanineCortexIsSymmetricAndStoresEnergy)
{
  const GeneralLaw law = orthotropic_law(canine(), turned(0.7, {1, 2, 3}));
  EXPECT_EQ((law.stiffness - law.stiffness.transpose()).norm(), 0);
  EXPECT_GT(Eigen::SelfAdjointEigenSolver<VoigtTangent>(law.stiffness).eigenvalues()(0), 0);
  EXPECT_LT((law.stiffness * law.compliance - VoigtTangent::Identity()).norm(), 1e-12);
}

// Requirement: a law turned by R answers the strain turned by R with the stress turned by R (change of frame).
TEST(Hooke, TurnsWithItsAxes)
{
  const Matrix3    r = turned(1.1, {2, -1, 0.5});
  const GeneralLaw plain = orthotropic_law(canine(), Matrix3::Identity()), law = orthotropic_law(canine(), r);
  const Matrix3    e = (Matrix3() << 1, 0.2, -0.3, 0.2, -2, 0.4, -0.3, 0.4, 0.5).finished() * 1e-3;
  const Matrix3    expected = r * tensor(plain.stiffness * voigt_strain(e)) * r.transpose();
  const Matrix3    found    = tensor(law.stiffness * voigt_strain(r * e * r.transpose()));
  EXPECT_LT((found - expected).norm(), 1e-12 * expected.norm());
}

// Requirement: bars cut along the three axes have the three moduli; across, in between (12.8 along 1, 20.1 along 3, GPa).
TEST(Hooke, BarsAlongTheAxesHaveTheirModuli)
{
  const Matrix3    axes = turned(0.4, {0, 1, 1});
  const GeneralLaw law  = orthotropic_law(canine(), axes);
  for (int i = 0; i < 3; ++i)
    EXPECT_NEAR(young_modulus(law, axes.col(i)), canine().modulus_mpa[i], 1e-8);
  // By hand at 45 deg in the plane 1-3: 4/E = 1/E1 + 1/E3 + 1/G13 - 2 nu13'/E1, nu13'/E1 the mean of .289/12.8 and .454/20.1.
  const double inverse = 0.25 * (1 / 12.8 + 1 / 20.1 + 1 / 5.68 - (0.289 / 12.8 + 0.454 / 20.1));
  EXPECT_NEAR(young_modulus(law, (axes.col(0) + axes.col(2)).normalized()), 1000 / inverse, 1e-6);
}

// Requirement: isotropic constants give Hooke's isotropic law in any axes.
TEST(Hooke, IsotropicConstantsAreIsotropicInAnyAxes)
{
  const GeneralLaw law = orthotropic_law(isotropic_constants(16000, 0.3), turned(0.9, {1, 1, -2}));
  PlasticMaterial  m;
  m.modulus_mpa   = 16000;
  m.poisson_ratio = 0.3;
  EXPECT_LT((law.stiffness - elastic_tangent(m)).norm(), 1e-12 * law.stiffness.norm());
}

TEST(Hooke, RefusesAxesThatAreNoFrame)
{
  Matrix3 axes = Matrix3::Identity();
  axes(0, 0)   = -1; // left-handed
  EXPECT_THROW(orthotropic_law(canine(), axes), Error);
  axes(0, 0) = 2;
  EXPECT_THROW(orthotropic_law(canine(), axes), Error);
}

// Requirement (patch test): a uniform strain in a lopsided mesh of orthotropic cells gives the stress worked out by hand everywhere, and no
// force on inner nodes. Pull of 1e-3 along z with axis 3 along z and axis 1 along x: C13, C23, C33 times 1e-3.
TEST(Orthotropic, UniformStrainGivesTheStressWorkedOutByHand)
{
  const auto       m = brick();
  const GeneralLaw law = orthotropic_law(canine(), Matrix3::Identity());
  const Elasticity e(m, {{1, 0.3}}, everywhere(m, law));
  Matrix3          gradient = Matrix3::Zero();
  gradient(2, 2) = 1e-3;
  const Vector u = linear_field(e, gradient);
  // Inverse of the compliance by hand, with the mean of each pair (GPa): C13 12.163, C23 12.204, C33 29.785.
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    const auto s = e.stress(u, c, {0.1, 0.2, 0.3, 0.4});
    EXPECT_NEAR(s[0], 12.163, 1e-3);
    EXPECT_NEAR(s[1], 12.204, 1e-3);
    EXPECT_NEAR(s[2], 29.785, 1e-3);
    for (int k = 3; k < 6; ++k)
      EXPECT_NEAR(s[k], 0, 1e-12);
  }
  const Vector force = e.stiffness() * u;
  std::vector<char> skin(e.n_nodes(), 0);
  for (const mesh::BoundaryFace &face : mesh::boundary_faces(m))
    for (const unsigned node : e.face_nodes(face.triangle))
      skin[node] = 1;
  int inner = 0;
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    if (!skin[i] && ++inner)
    {
      EXPECT_LT(force.segment<3>(3 * i).norm(), 1e-12 * force.norm());
    }
  EXPECT_GT(inner, 0);
}

// Requirement: the same with every strain component, for axes that lie anyhow: K u equals the forces of the stress summed cell by cell.
TEST(Orthotropic, StiffnessBelongsToTheStress)
{
  const auto       m = brick();
  const Elasticity e(m, {{1, 0.3}}, everywhere(m, orthotropic_law(canine(), turned(0.8, {1, -2, 0.7}))));
  const Vector     u = Vector::LinSpaced(3 * e.n_nodes(), -1, 1).array().sin();
  Vector           f = Vector::Zero(u.size());
  e.add_internal_force(u, f);
  EXPECT_LT((f - e.stiffness() * u).norm(), 1e-12 * f.norm());
  EXPECT_LT((e.element_stiffness(3) - e.element_stiffness(3).transpose()).norm(), 1e-12 * e.element_stiffness(3).norm());
}

// Requirement: isotropic constants in turned axes give the isotropic stiffness, to rounding.
TEST(Orthotropic, IsotropicConstantsGiveTheIsotropicStiffness)
{
  const auto       m = brick();
  const Elasticity plain(m, {{16000, 0.3}});
  const Elasticity e(m, {{1, 0.3}}, everywhere(m, orthotropic_law(isotropic_constants(16000, 0.3), turned(0.8, {1, -2, 0.7}))));
  for (const std::size_t c : {std::size_t(0), std::size_t(17)})
    EXPECT_LT((e.element_stiffness(c) - plain.element_stiffness(c)).norm(), 1e-12 * plain.element_stiffness(c).norm());
}

// Requirement: cells listed with their part's own material leave every digit as it was.
TEST(Orthotropic, CellsOfTheSameMaterialChangeNoDigit)
{
  const auto                m = brick();
  const Elasticity          plain(m, {{16000, 0.3}});
  const Elasticity          e(m, {{16000, 0.3}}, {{0, {16000, 0.3}, {}}, {5, {16000, 0.3}, {}}});
  const Vector              u = Vector::LinSpaced(3 * e.n_nodes(), -1, 1).array().sin();
  const RecoveredStress     a = recover_stress(plain, u), b = recover_stress(e, u);
  EXPECT_EQ(SparseMatrix(plain.stiffness() - e.stiffness()).norm(), 0);
  EXPECT_EQ(a.stress_mpa, b.stress_mpa);
  EXPECT_EQ(a.cell_error_percent, b.cell_error_percent);
  EXPECT_TRUE(a.strain.empty());
  // Strain is there as soon as cells may differ; here Hooke's of the recovered stress.
  ASSERT_EQ(b.strain.size(), b.stress_mpa.size());
  const Voigt s = Eigen::Map<const Voigt>(b.stress_mpa[7].data()), expected = strain_of(s, {16000, 0.3});
  EXPECT_LT((Eigen::Map<const Voigt>(b.strain[7].data()) - expected).norm(), 1e-12 * expected.norm());
}

// Requirement: two layers of another modulus in series, pulled, share the stress: strain s / E in each (E 1000 below, 4000 above, nu 0).
TEST(Orthotropic, LayersInSeriesShareTheStress)
{
  const auto                m = brick(false);
  std::vector<CellMaterial> own;
  for (std::size_t c = 0; c < m.tetrahedra.size(); ++c)
  {
    double z = 0;
    for (const unsigned v : m.tetrahedra[c])
      z += m.points[v].z() / 4;
    if (z > 2)
      own.push_back({c, {4000, 0}, {}});
  }
  ASSERT_EQ(2 * own.size(), m.tetrahedra.size());
  const Elasticity   e(m, {{1000, 0}}, own);
  Vector             f = Vector::Zero(3 * e.n_nodes());
  e.add_traction(m.find_surface("z1")->triangles, [](const Vector3 &, const Vector3 &) { return Vector3(0, 0, 8); }, f);
  std::vector<Fixed> fixed;
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    if (e.nodes()[i].z() == 0)
      for (int k = 0; k < 3; ++k)
        fixed.push_back({i, k, 0});
  const Vector u = solve(e, fixed, f);
  // By hand: 2 mm at 8/1000 plus 2 mm at 8/4000 = 0.016 + 0.004 mm at the top.
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
    if (e.nodes()[i].z() == 4)
    {
      EXPECT_NEAR(u(3 * i + 2), 0.020, 1e-12);
    }
}

// Requirement: a free body that grows by e everywhere is larger by e and without stress; held in all directions it has the stress
// -E e / (1 - 2 nu) = -1000 * 1e-3 / 0.4 = -2.5 MPa (closed form).
TEST(FreeStrain, FreeBodyGrowsWithoutStressAndAHeldOneIsPressed)
{
  const auto m = brick();
  Elasticity e(m, {{1000, 0.3}});
  e.set_free_strain(std::vector<double>(m.points.size(), 1e-3));
  const auto held = e.stress(Vector::Zero(3 * e.n_nodes()), 0, {0.1, 0.2, 0.3, 0.4});
  for (int k = 0; k < 6; ++k)
    EXPECT_NEAR(held[k], k < 3 ? -2.5 : 0, 1e-12);
  Vector f = Vector::Zero(3 * e.n_nodes());
  e.add_free_strain(f);
  EXPECT_LT((e.stiffness() * linear_field(e, 1e-3 * Matrix3::Identity()) - f).norm(), 1e-12 * f.norm());
  const auto grown = e.corner_stress(linear_field(e, 1e-3 * Matrix3::Identity()), 3);
  for (const auto &s : grown)
    for (const double v : s)
      EXPECT_NEAR(v, 0, 1e-12);
}

// Requirement: a free strain that grows linearly with place bends a free body without stress (closed form: u = (g x^2 / 2, 0, 0) - ..., its strain
// is compatible). g x in every direction: u = (g (x^2 - y^2 - z^2) / 2, g x y, g x z).
TEST(FreeStrain, LinearFreeStrainLeavesAFreeBodyWithoutStress)
{
  const auto          m = brick();
  Elasticity          e(m, {{1000, 0.3}});
  std::vector<double> growth;
  for (const Vector3 &x : m.points)
    growth.push_back(1e-3 * x.x());
  e.set_free_strain(growth);
  Vector u(3 * e.n_nodes());
  for (std::size_t i = 0; i < e.n_nodes(); ++i)
  {
    const Vector3 x     = e.nodes()[i];
    u.segment<3>(3 * i) = 1e-3 * Vector3(0.5 * (x.x() * x.x() - x.y() * x.y() - x.z() * x.z()), x.x() * x.y(), x.x() * x.z());
  }
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    for (const auto &s : e.corner_stress(u, c))
      for (const double v : s)
        EXPECT_NEAR(v, 0, 1e-11);
  Vector f = Vector::Zero(u.size());
  e.add_free_strain(f);
  EXPECT_LT((e.stiffness() * u - f).norm(), 1e-12 * f.norm());
}
