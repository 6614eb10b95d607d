#include "solver/hooke.h"
#include "models/core/error.h"

namespace stifle::solver
{
namespace
{
constexpr int first_index[6] = {0, 1, 2, 0, 1, 0}, second_index[6] = {0, 1, 2, 1, 2, 2};
constexpr int voigt_index[3][3] = {{0, 3, 5}, {3, 1, 4}, {5, 4, 2}};

// Takes strain in the axes of the mesh to strain in the material's axes (engineering shears).
VoigtTangent strain_rotation(const Matrix3 &axes)
{
  VoigtTangent t;
  for (int j = 0; j < 6; ++j)
  {
    Matrix3 e = Matrix3::Zero();
    e(first_index[j], second_index[j]) += 0.5;
    e(second_index[j], first_index[j]) += 0.5;
    const Matrix3 own = axes.transpose() * e * axes;
    for (int i = 0; i < 6; ++i)
      t(i, j) = (i < 3 ? 1 : 2) * own(first_index[i], second_index[i]);
  }
  return t;
}
} // namespace

VoigtTangent compliance(const Orthotropic &o)
{
  VoigtTangent s = VoigtTangent::Zero();
  for (int i = 0; i < 3; ++i)
    s(i, i) = 1 / o.modulus_mpa[i];
  for (const auto &[i, j, k] : {std::array<int, 3>{0, 1, 0}, {0, 2, 1}, {1, 2, 2}})
    s(i, j) = s(j, i) = -0.5 * (o.poisson_ratio[k] / o.modulus_mpa[i] + o.poisson_ratio_back[k] / o.modulus_mpa[j]);
  s(3, 3) = 1 / o.shear_mpa[0]; // 12
  s(5, 5) = 1 / o.shear_mpa[1]; // 13
  s(4, 4) = 1 / o.shear_mpa[2]; // 23
  return s;
}

GeneralLaw orthotropic_law(const Orthotropic &constants, const Matrix3 &axes)
{
  if (!((axes.transpose() * axes - Matrix3::Identity()).norm() < 1e-9) || !(axes.determinant() > 0))
    throw Error("orthotropic bone: its three axes are not a right-handed frame of unit vectors");
  const VoigtTangent t = strain_rotation(axes), own = compliance(constants).inverse();
  GeneralLaw law;
  law.stiffness = t.transpose() * own * t;
  law.stiffness = (0.5 * (law.stiffness + law.stiffness.transpose())).eval();
  law.compliance = law.stiffness.inverse();
  law.compliance = (0.5 * (law.compliance + law.compliance.transpose())).eval();
  return law;
}

Voigt strain_of(const Voigt &s, const IsotropicMaterial &m)
{
  Voigt strain = (1 + m.poisson_ratio) * s;
  strain.head<3>().array() -= m.poisson_ratio * s.head<3>().sum();
  strain.tail<3>() *= 2;
  return strain / m.modulus_mpa;
}

double energy_density(const Voigt &s, const IsotropicMaterial &m, const GeneralLaw *law)
{
  if (law)
    return 0.5 * s.dot(law->compliance * s);
  const double trace = s.head<3>().sum();
  const double dots  = s.head<3>().squaredNorm() + 2 * s.tail<3>().squaredNorm();
  return 0.5 * ((1 + m.poisson_ratio) * dots - m.poisson_ratio * trace * trace) / m.modulus_mpa;
}

Matrix3 matrix_of_strain(const Voigt &e)
{
  return (Matrix3() << e(0), 0.5 * e(3), 0.5 * e(5), 0.5 * e(3), e(1), 0.5 * e(4), 0.5 * e(5), 0.5 * e(4), e(2)).finished();
}

double young_modulus(const GeneralLaw &law, const Vector3 &n)
{
  const Voigt pull = (Voigt() << n(0) * n(0), n(1) * n(1), n(2) * n(2), n(0) * n(1), n(1) * n(2), n(0) * n(2)).finished();
  return 1 / pull.dot(law.compliance * pull); // unit tension along n; work of its own strain
}

Matrix3 stiffness_block(const VoigtTangent &c, const Matrix3 &h)
{
  Matrix3 block = Matrix3::Zero();
  for (int p = 0; p < 3; ++p)
    for (int q = 0; q < 3; ++q)
      for (int a = 0; a < 3; ++a)
        for (int b = 0; b < 3; ++b)
          block(p, q) += c(voigt_index[p][a], voigt_index[q][b]) * h(a, b);
  return block;
}
} // namespace stifle::solver
