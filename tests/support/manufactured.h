// tests/support/manufactured.h - a smooth displacement on the unit cube with its stress and body force, for convergence rates
//   u_i = a_i sin(k . x + phase_i), k = (1.3, 0.7, 1.1), a = (0.6, -0.4, 0.5): not a polynomial, no symmetry
//   du_i/dx_j = a_i k_j c_i with c_i = cos(k . x + phase_i);  stress = lambda tr(eps) I + 2 mu eps
//   body force f_i = -d sigma_ij / dx_j. With s_j = sin(k . x + phase_j):
//     d(lambda div u)/dx_i = -lambda k_i sum_j a_j k_j s_j
//     d(mu (u_i,j + u_j,i))/dx_j = -mu (a_i |k|^2 s_i + k_i sum_j a_j k_j s_j)
//   so f_i = (lambda + mu) k_i sum_j a_j k_j s_j + mu |k|^2 a_i s_i
//   limits    unit cube; E = 1, nu = 0.3
#pragma once
#include "solver/elasticity.h"

namespace stifle::manufactured
{
constexpr double modulus = 1, poisson_ratio = 0.3;
constexpr double lambda = modulus * poisson_ratio / ((1 + poisson_ratio) * (1 - 2 * poisson_ratio));
constexpr double mu     = modulus / (2 * (1 + poisson_ratio));

inline Vector3 wave() { return {1.3, 0.7, 1.1}; }
inline Vector3 amplitude() { return {0.6, -0.4, 0.5}; }
inline Vector3 angle(const Vector3 &x) { return Vector3::Constant(wave().dot(x)) + Vector3(0.2, 0.9, 1.7); }

inline Vector3 displacement(const Vector3 &x) { return amplitude().cwiseProduct(Vector3(angle(x).array().sin())); }

inline Matrix3 gradient(const Vector3 &x)
{
  return amplitude().cwiseProduct(Vector3(angle(x).array().cos())) * wave().transpose();
}

/// xx yy zz xy yz xz
inline std::array<double, 6> stress(const Vector3 &x)
{
  const Matrix3 strain = 0.5 * (gradient(x) + gradient(x).transpose());
  const Matrix3 s      = lambda * strain.trace() * Matrix3::Identity() + 2 * mu * strain;
  return {{s(0, 0), s(1, 1), s(2, 2), s(0, 1), s(1, 2), s(0, 2)}};
}

inline Vector3 body_force(const Vector3 &x)
{
  const Vector3 u   = displacement(x);
  const double  sum = wave().dot(u); // sum_j a_j k_j s_j
  return (lambda + mu) * sum * wave() + mu * wave().squaredNorm() * u;
}
} // namespace stifle::manufactured
