// solver/hooke.h - Hooke's law of one cell: isotropic, or any symmetric 6 x 6 (orthotropic bone in its own axes)
//   order   xx yy zz xy yz xz; strains with engineering shears (2 eps_xy), stress in MPa
//   source  DEVELOPERS.md "Laws of bone"
#pragma once
#include "models/core/units.h"
#include "models/parts/material.h"
#include <Eigen/Dense>
#include <array>

namespace stifle::solver
{
using Voigt = Eigen::Matrix<double, 6, 1>;
using VoigtTangent = Eigen::Matrix<double, 6, 6>;

struct IsotropicMaterial
{
  double modulus_mpa = 1, poisson_ratio = 0.3;
};

/// A law that is not isotropic, in the axes of the mesh.
struct GeneralLaw
{
  VoigtTangent stiffness, compliance;
};

/// Compliance in the material's own axes; each pair of Poisson ratios enters by its mean nu_ij / E_i.
VoigtTangent compliance(const Orthotropic &constants);
/// Columns of `axes`: unit vectors 1, 2, 3 of the material in the mesh, right-handed. Throws Error when they are not that.
GeneralLaw orthotropic_law(const Orthotropic &constants, const Matrix3 &axes);

Voigt strain_of(const Voigt &stress, const IsotropicMaterial &material);
/// 1/2 stress : strain, MPa; `law` null: isotropic by `material`.
double energy_density(const Voigt &stress, const IsotropicMaterial &material, const GeneralLaw *law);
Matrix3 matrix_of_strain(const Voigt &strain); ///< tensor shears
/// Young's modulus (MPa) of a bar cut along the unit vector `direction`.
double young_modulus(const GeneralLaw &law, const Vector3 &direction);
/// Integral of B_i^T C B_j for shape gradients with integral h(a, b) = dN_i/dx_a dN_j/dx_b.
Matrix3 stiffness_block(const VoigtTangent &stiffness, const Matrix3 &h);
} // namespace stifle::solver
