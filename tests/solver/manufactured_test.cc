// Convergence on a manufactured smooth solution: a fitted slope and a bound, in displacement and in energy.
#include "tests/support/manufactured.h"
#include "scenarios/checks/check_model.h"
#include <gtest/gtest.h>

using namespace stifle;
using checks::steps;

namespace
{
struct Errors
{
  double displacement = 0, energy = 0; ///< relative to the norms of the exact solution
};

/// Quadratic shape functions at barycentric coordinates, in the order of solver::Cell.
std::array<double, 10> shape(const Eigen::Vector4d &b)
{
  return {{b[0] * (2 * b[0] - 1), b[1] * (2 * b[1] - 1), b[2] * (2 * b[2] - 1), b[3] * (2 * b[3] - 1), 4 * b[0] * b[1], 4 * b[1] * b[2],
           4 * b[0] * b[2], 4 * b[0] * b[3], 4 * b[1] * b[3], 4 * b[2] * b[3]}};
}

/// Gauss points of a tetrahedron by collapsing the cube (four per axis, exact to degree five); weights sum to 1.
std::vector<std::pair<Eigen::Vector4d, double>> points()
{
  const double x[4] = {0.0694318442029737, 0.3300094782075719, 0.6699905217924281, 0.9305681557970263};
  const double w[4] = {0.1739274225687269, 0.3260725774312731, 0.3260725774312731, 0.1739274225687269};
  std::vector<std::pair<Eigen::Vector4d, double>> result;
  for (int i = 0; i < 4; ++i)
    for (int j = 0; j < 4; ++j)
      for (int k = 0; k < 4; ++k)
      {
        const double a = x[i], b = (1 - a) * x[j], c = (1 - a) * (1 - x[j]) * x[k];
        result.push_back({{a, b, c, 1 - a - b - c}, 6 * w[i] * w[j] * w[k] * (1 - a) * (1 - a) * (1 - x[j])});
      }
  return result;
}

/// sigma : C^-1 : sigma
double energy_density(const std::array<double, 6> &s)
{
  const double trace = s[0] + s[1] + s[2];
  const double dots  = s[0] * s[0] + s[1] * s[1] + s[2] * s[2] + 2 * (s[3] * s[3] + s[4] * s[4] + s[5] * s[5]);
  return ((1 + manufactured::poisson_ratio) * dots - manufactured::poisson_ratio * trace * trace) / manufactured::modulus;
}

Errors solve_cube(int n)
{
  const checks::Body body = checks::block(steps(0, 1, n), steps(0, 1, n), steps(0, 1, n), [](const Vector3 &p) { return p; });
  const solver::Elasticity elasticity(body.mesh, {{manufactured::modulus, manufactured::poisson_ratio}});
  std::vector<solver::Fixed> fixed;
  for (std::size_t i = 0; i < elasticity.n_nodes(); ++i)
    if (const Vector3 &x = elasticity.nodes()[i]; x.minCoeff() < 1e-12 || x.maxCoeff() > 1 - 1e-12)
      for (int c = 0; c < 3; ++c)
        fixed.push_back({i, c, manufactured::displacement(x)[c]});
  solver::Vector force = solver::Vector::Zero(3 * elasticity.n_nodes());
  elasticity.add_body_force(manufactured::body_force, force);
  const solver::Vector u = solver::solve(elasticity, fixed, force);
  Errors error, norm;
  for (std::size_t cell = 0; cell < elasticity.cells().size(); ++cell)
    for (const auto &[b, weight] : points())
    {
      const solver::Cell &nodes = elasticity.cells()[cell];
      const auto          n_i   = shape(b);
      Vector3             x = Vector3::Zero(), value = Vector3::Zero();
      for (int i = 0; i < 10; ++i)
        value += n_i[i] * u.segment<3>(3 * nodes[i]);
      for (int i = 0; i < 4; ++i)
        x += b[i] * elasticity.nodes()[nodes[i]];
      const auto            exact = manufactured::stress(x);
      std::array<double, 6> difference = elasticity.stress(u, cell, b);
      for (int c = 0; c < 6; ++c)
        difference[c] -= exact[c];
      const double w = weight * mesh::volume(body.mesh, cell);
      error.displacement += w * (value - manufactured::displacement(x)).squaredNorm();
      norm.displacement += w * manufactured::displacement(x).squaredNorm();
      error.energy += w * energy_density(difference);
      norm.energy += w * energy_density(exact);
    }
  return {std::sqrt(error.displacement / norm.displacement), std::sqrt(error.energy / norm.energy)};
}

/// Least-squares slope of log(error) against log(h).
double fitted_slope(const std::vector<double> &h, const std::vector<double> &error)
{
  double sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (std::size_t i = 0; i < h.size(); ++i)
  {
    const double x = std::log(h[i]), y = std::log(error[i]);
    sx += x, sy += y, sxx += x * x, sxy += x * y;
  }
  const double n = static_cast<double>(h.size());
  return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

class Convergence : public ::testing::Test
{
protected:
  static void SetUpTestSuite()
  {
    for (const int n : {2, 4, 8})
    {
      const Errors e = solve_cube(n);
      h.push_back(1.0 / n), displacement.push_back(e.displacement), energy.push_back(e.energy);
    }
  }
  static std::vector<double> h, displacement, energy;
};
std::vector<double> Convergence::h, Convergence::displacement, Convergence::energy;
} // namespace

// Source: a-priori estimate ||u - u_h|| <= C h^3 for quadratic elements and a smooth u. The bound: 1e-3 of ||u|| at h = 1/8 by
// hand: interpolation error of a wave about (|k| h)^3 / 50 per cell, |k| = 1.84, gives 2.4e-4; four times that is allowed.
TEST_F(Convergence, DisplacementOfQuadraticTetrahedraHasOrderThree)
{
  EXPECT_NEAR(fitted_slope(h, displacement), 3.0, 0.2);
  EXPECT_LT(displacement.back(), 1e-3);
  RecordProperty("slope", std::to_string(fitted_slope(h, displacement)));
  RecordProperty("last_error", std::to_string(displacement.back() * 1e6) + "e-6");
}

// Source: the energy norm loses one order, C h^2. Bound by hand: (|k| h)^2 / 10 = 5.3e-3, twice that is allowed.
TEST_F(Convergence, EnergyOfQuadraticTetrahedraHasOrderTwo)
{
  EXPECT_NEAR(fitted_slope(h, energy), 2.0, 0.2);
  EXPECT_LT(energy.back(), 1.06e-2);
  RecordProperty("slope", std::to_string(fitted_slope(h, energy)));
  RecordProperty("last_error", std::to_string(energy.back() * 1e6) + "e-6");
}

// The body force is checked against the stress by central differences: f = -div sigma.
TEST(ManufacturedSolution, BalancesItsBodyForce)
{
  const Vector3 x(0.3, 0.6, 0.2);
  const double  d = 1e-4;
  const int     index[3][3] = {{0, 3, 5}, {3, 1, 4}, {5, 4, 2}};
  for (int i = 0; i < 3; ++i)
  {
    double divergence = 0;
    for (int j = 0; j < 3; ++j)
      divergence += (manufactured::stress(x + d * Vector3::Unit(j))[index[i][j]] - manufactured::stress(x - d * Vector3::Unit(j))[index[i][j]]) / (2 * d);
    EXPECT_NEAR(manufactured::body_force(x)[i], -divergence, 1e-7);
  }
}
