#include "models/joint/equilibrium.h"
#include <algorithm>

namespace stifle
{
namespace
{
using Mask = std::array<bool, 3>;
constexpr double march_step_mm = 0.25, largest_step_mm = 1;

double load_size_n(const BalanceSetup &s) { return std::max(1.0, s.load.ground_force.norm()); }

Eigen::Vector3d masked(const Eigen::Vector3d &residual, const Mask &active)
{
  return {active[0] ? residual(0) : 0, active[1] ? residual(1) : 0, active[2] ? residual(2) : 0};
}

/// Residual at unknowns y; infinite where the tendon cannot reach.
Eigen::Vector3d residual_at(const BalanceSetup &s, const Eigen::Vector3d &y, const Mask &active)
{
  const Balance<double> b = balance<double>(s, y(0), y(1), y(2));
  if (!b.possible)
    return Eigen::Vector3d::Constant(1e30);
  return masked({b.along_t, b.along_n, b.turning}, active);
}

/// Newton step on the active unknowns, limited in length.
Eigen::Vector3d newton_step(const BalanceSetup &s, const Eigen::Vector3d &y, const Mask &active)
{
  const Balance<Dual> b = balance<Dual>(s, Dual::unknown(y(0), 0), Dual::unknown(y(1), 1), Dual::unknown(y(2), 2));
  const Dual *e[] = {&b.along_t, &b.along_n, &b.turning};
  Eigen::Matrix3d matrix = Eigen::Matrix3d::Identity();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  for (int i = 0; i < 3; ++i)
    for (int j = 0; j < 3 && active[i]; ++j)
    {
      matrix(i, j) = active[j] ? e[i]->slope(j) : 0;
      right(i) = -e[i]->value;
    }
  Eigen::Vector3d step = matrix.partialPivLu().solve(right);
  const double far = std::max(std::abs(step(0)), std::abs(step(1)));
  if (far > largest_step_mm)
    step *= largest_step_mm / far;
  return step;
}

/// Centre height at which the condyle presses the plateau lightly at t.
double touching_height(const BalanceSetup &s, double t_mm)
{
  const double r = s.bed.plateau_radius_mm, sum = s.bed.condyle_radius_mm + r;
  return std::sqrt(std::max(1.0, sum * sum - t_mm * t_mm)) - r - 0.3;
}

/// Balance of normal force and moment at a held place on the chord.
Equilibrium settle(const BalanceSetup &s, Equilibrium e)
{
  if (!balance<double>(s, e.t_mm, e.n_mm, 0.0).contact.touching)
    e.n_mm = touching_height(s, e.t_mm);
  if (!s.moment_held)
  {
    const Equilibrium free = newton(s, e, {false, true, true});
    if (!free.converged || free.tendon_n >= 0)
      return free;
    e = free;
  }
  e.tendon_n = 0;
  Equilibrium held = newton(s, e, {false, true, false});
  held.clipped = !s.moment_held;
  return held;
}

double chord_force_n(const BalanceSetup &s, const Equilibrium &e)
{
  return balance<double>(s, e.t_mm, e.n_mm, e.tendon_n).along_t;
}

/// All unknowns at once; the tendon is let go or taken back until its sign agrees.
Equilibrium finish(const BalanceSetup &s, Equilibrium e)
{
  for (int attempt = 0; attempt < 3; ++attempt)
  {
    const bool free = !e.clipped && !s.moment_held;
    if (!free)
      e.tendon_n = 0;
    e = newton(s, e, {true, true, free});
    if (!e.converged)
      return e;
    if (free && e.tendon_n < 0)
      e.clipped = true;
    else if (e.clipped && settle(s, e).tendon_n > 0)
      e.clipped = false;
    else
      return e;
  }
  e.converged = false;
  return e;
}
} // namespace

Equilibrium newton(const BalanceSetup &s, Equilibrium e, const Mask &active)
{
  const double tolerance = 1e-10 * load_size_n(s);
  Eigen::Vector3d y(e.t_mm, e.n_mm, e.tendon_n);
  Eigen::Vector3d residual = residual_at(s, y, active);
  e.residuals_n.assign(1, residual.lpNorm<Eigen::Infinity>());
  for (int i = 0; i < 40 && e.residuals_n.back() > tolerance; ++i, ++e.iterations)
  {
    const Eigen::Vector3d step = newton_step(s, y, active);
    if (!step.allFinite())
      break;
    double share = 1;
    Eigen::Vector3d next = residual_at(s, y + step, active);
    while (next.norm() > residual.norm() && share > 1.0 / 64)
    {
      share /= 2;
      next = residual_at(s, y + share * step, active);
    }
    y += share * step;
    residual = next;
    e.residuals_n.push_back(residual.lpNorm<Eigen::Infinity>());
  }
  e.t_mm = y(0);
  e.n_mm = y(1);
  e.tendon_n = y(2);
  e.residual_n = e.residuals_n.back();
  e.converged = e.residual_n <= tolerance;
  return e;
}

Equilibrium find_equilibrium(const BalanceSetup &s, double start_mm)
{
  Equilibrium here;
  here.t_mm = start_mm;
  here.n_mm = touching_height(s, start_mm);
  here = settle(s, here);
  if (!here.converged)
    return here;
  double force = chord_force_n(s, here);
  const double reach_mm = 1.1 * s.bed.half_length_mm; // beyond it the condyle has left the plateau
  while (std::abs(here.t_mm) < reach_mm)
  {
    Equilibrium next = here;
    next.t_mm -= force > 0 ? march_step_mm : -march_step_mm; // tibia pushed cranially: the femur goes caudal on it
    next = settle(s, next);
    if (!next.converged)
      return next;
    const double next_force = chord_force_n(s, next);
    if ((next_force > 0) != (force > 0))
    {
      const double part = force / (force - next_force);
      next.t_mm = here.t_mm + part * (next.t_mm - here.t_mm);
      next.n_mm = here.n_mm + part * (next.n_mm - here.n_mm);
      return finish(s, next);
    }
    here = next;
    force = next_force;
  }
  here.converged = false; // ran off the plateau
  here.residual_n = std::abs(force);
  return here;
}
} // namespace stifle
