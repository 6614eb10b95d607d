#include "models/joint/spatial_equilibrium.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double largest_step_mm = 1.5; ///< of one pose unknown
constexpr double farthest_mm = 40;      ///< femur off the tibia: stop
constexpr double farthest_part = 1.2;   ///< of half the plateau: beyond it the condyle has left it
constexpr double largest_turn_deg = 35; ///< of varus and rotation
constexpr double slow_step_mm = 0.3;    ///< of the femur let go slowly
constexpr int slow_steps = 800;
constexpr double first_path_step = 0.25, smallest_path_step = 0.05;

double load_size_n(const SpatialSetup &s)
{
  return std::max({10.0, s.load.ground_force.norm(), s.hand_force.norm(), s.hand_moment.norm() / pose_lever_mm});
}

void mask_out(SpatialBalance &b, const SpatialMask &active)
{
  for (int i = 0; i < 7; ++i)
    if (!active[i])
    {
      b.residual(i) = 0;
      b.slope.row(i).setZero();
      b.slope.col(i).setZero();
      b.slope(i, i) = 1;
    }
}

SpatialBalance masked_balance(const SpatialSetup &s, const Vector7 &y, const SpatialMask &active)
{
  SpatialBalance b = spatial_balance(s, y);
  if (!b.possible)
    b.residual.setConstant(1e30);
  mask_out(b, active);
  return b;
}

/// Length of the pose part of a step is limited; the step keeps its direction.
Vector7 limited(Vector7 step)
{
  const double far = step.head<5>().cwiseAbs().maxCoeff();
  if (far > largest_step_mm)
    step *= largest_step_mm / far;
  return step;
}

/// Implicit Euler of a femur in a viscous medium. Ends where Newton can take over.
Vector7 let_go(const SpatialSetup &s, Vector7 y, const SpatialMask &active, int &iterations)
{
  double damping = 30; // N/mm
  SpatialBalance b = masked_balance(s, y, active);
  for (int i = 0; i < 150 && b.possible; ++i, ++iterations)
  {
    const double size = b.residual.norm();
    if (size < 1e-3 * load_size_n(s))
      break;
    Matrix7 matrix = b.slope;
    for (int k = 0; k < 5; ++k)
      matrix(k, k) += active[k] ? damping : 0;
    const Vector7 step = limited(matrix.partialPivLu().solve(-b.residual));
    if (!step.allFinite())
      break;
    Vector7 next = y + step;
    SpatialBalance there = masked_balance(s, next, active);
    for (int cut = 0; cut < 6 && !there.possible; ++cut)
    {
      next = y + std::pow(0.5, cut + 1) * step;
      there = masked_balance(s, next, active);
    }
    const double change = there.residual.norm() / size;
    damping = std::clamp(damping * std::clamp(change, 0.3, 3.0), 1e-3, 300.0);
    y = next;
    b = std::move(there);
    if (y.head<3>().cwiseAbs().maxCoeff() > farthest_mm)
      break;
  }
  return y;
}
double plateau_half_mm(const SpatialSetup &s) { return s.anatomy.joint.plateaus[medial].half_length_mm; }

/// Which way the femur has left the plateau; empty when it stands on it.
std::string way_off(const SpatialSetup &s, const Vector7 &y)
{
  if (std::abs(y(0)) > farthest_part * plateau_half_mm(s))
    return y(0) < 0 ? "caudally" : "cranially";
  if (y(2) <= 0 || std::abs(y(1)) > farthest_mm)
    return "sideways";
  return std::max(std::abs(y(3)), std::abs(y(4))) > radians(largest_turn_deg) * pose_lever_mm ? "turning" : "";
}

/// As let_go, but a step that would be long is taken again with more damping, so that no balance on the way is jumped over.
Vector7 creep(const SpatialSetup &s, Vector7 y, const SpatialMask &active, int &iterations)
{
  double damping = 300; // N/mm
  if (active[5])        // tendon and patella follow without damping: start on them
    y = spatial_newton(s, y, {false, false, false, false, false, true, true}).unknowns;
  for (int i = 0; i < slow_steps && way_off(s, y).empty(); ++i, ++iterations)
  {
    const SpatialBalance b = masked_balance(s, y, active);
    if (!b.possible || b.residual.norm() < 1e-4 * load_size_n(s))
      break;
    Matrix7 matrix = b.slope;
    for (int k = 0; k < 5; ++k)
      matrix(k, k) += active[k] ? damping : 0;
    const Vector7 step = matrix.partialPivLu().solve(-b.residual);
    const double far = step.head<5>().cwiseAbs().maxCoeff();
    // a negative product: the step climbs against the force, so the matrix is not that of a creeping body yet
    const bool climbs = step.head<5>().dot(b.residual.head<5>()) > 0;
    if (!(far <= slow_step_mm) || climbs)
    {
      damping *= 2;
      if (damping > 1e7)
        break;
      continue;
    }
    y += step;
    damping = std::max(1e-2, damping / (far < slow_step_mm / 3 ? 2.0 : 1.2));
  }
  return y;
}
} // namespace

SpatialMask moving_unknowns(const SpatialSetup &s, bool tendon_free)
{
  return {true, true, true, true, !s.rotation_held, tendon_free, tendon_free};
}

Vector7 reference_unknowns(const SpatialSetup &s)
{
  Vector7 y = Vector7::Zero();
  y(2) = s.anatomy.joint.condyles[medial].sagittal_radius_mm - s.anatomy.joint.reference_indentation_mm;
  return y;
}

SpatialEquilibrium spatial_newton(const SpatialSetup &s, const Vector7 &start, const SpatialMask &active)
{
  SpatialEquilibrium e;
  e.unknowns = start;
  const double tolerance = 1e-9 * load_size_n(s);
  SpatialBalance b = masked_balance(s, e.unknowns, active);
  e.residuals_n.assign(1, b.residual.lpNorm<Eigen::Infinity>());
  for (int i = 0; i < 30 && e.residuals_n.back() > tolerance && b.possible; ++i, ++e.iterations)
  {
    const Vector7 step = limited(b.slope.partialPivLu().solve(-b.residual));
    if (!step.allFinite())
      break;
    double share = 1;
    SpatialBalance there = masked_balance(s, e.unknowns + step, active);
    while (!(there.residual.norm() < b.residual.norm()) && share > 1.0 / 32)
    {
      share /= 2;
      there = masked_balance(s, e.unknowns + share * step, active);
    }
    if (!(there.residual.norm() < b.residual.norm()))
      break;
    e.unknowns += share * step;
    b = std::move(there);
    e.residuals_n.push_back(b.residual.lpNorm<Eigen::Infinity>());
  }
  e.residual_n = e.residuals_n.back();
  e.converged = e.residual_n <= tolerance;
  if (!e.converged)
    e.reason = b.possible ? "Newton stalled" : "the patellar tendon does not reach the trochlea";
  return e;
}

namespace
{
using Follow = Vector7 (*)(const SpatialSetup &, Vector7, const SpatialMask &, int &iterations);

/// Newton, then with the femur let go as `follow` does, with or without the tendon.
SpatialEquilibrium settle(const SpatialSetup &s, const Vector7 &start, Follow follow = let_go)
{
  bool free = !s.moment_held;
  SpatialEquilibrium e;
  e.unknowns = start;
  int iterations = 0;
  for (int attempt = 0; attempt < 2; ++attempt)
  {
    Vector7 from = e.unknowns;
    const SpatialMask mask = moving_unknowns(s, free);
    for (int i = 0; i < 7; ++i)
      from(i) = mask[i] ? from(i) : 0;
    e.converged = false;
    if (follow == let_go)
    {
      e = spatial_newton(s, from, mask);
      iterations += e.iterations;
    }
    if (!e.converged)
    {
      const Vector7 settled = follow(s, from, mask, iterations);
      e = spatial_newton(s, settled, mask);
      if (follow == creep)
        e.way_off = way_off(s, settled);
      iterations += e.iterations;
    }
    e.clipped = !free && !s.moment_held;
    if (!e.converged || !free || e.unknowns(5) >= 0)
      break;
    free = false; // the tendon cannot push
  }
  e.iterations = iterations;
  return e;
}

/// A pose that solves the equations but is none of a joint.
std::string implausible(const SpatialSetup &s, const SpatialEquilibrium &e)
{
  if (e.unknowns(2) <= 0)
    return "the femur stands below the plateau";
  if (std::abs(e.unknowns(0)) > farthest_part * plateau_half_mm(s))
    return "the femur leaves the plateau";
  if (std::max(std::abs(e.unknowns(3)), std::abs(e.unknowns(4))) > radians(largest_turn_deg) * pose_lever_mm)
    return "the joint turns further than its model holds";
  const SpatialBalance b = spatial_balance(s, e.unknowns);
  if (b.contact[medial].load_n + b.contact[lateral].load_n + b.rim[medial].load_n + b.rim[lateral].load_n <= 0)
    return "the condyles lose contact with the plateau";
  return "";
}

SpatialEquilibrium judged(const SpatialSetup &s, SpatialEquilibrium e)
{
  if (e.converged)
    e.reason = implausible(s, e);
  e.converged = e.reason.empty() && e.converged;
  return e;
}
} // namespace

SpatialEquilibrium find_spatial_equilibrium(const SpatialSetup &s, const Vector7 &start) { return judged(s, settle(s, start)); }

SpatialEquilibrium let_go_slowly(const SpatialSetup &s, const Vector7 &start)
{
  SpatialEquilibrium e = judged(s, settle(s, start, creep));
  e.converged = e.converged && e.way_off.empty();
  e.dislocates = !e.way_off.empty();
  if (e.dislocates)
    e.reason = fmt::format("the joint dislocates: let go, the femur leaves the plateau {}", e.way_off);
  return e;
}

bool is_stable(const SpatialSetup &s, SpatialBalance b, bool tendon_free)
{
  mask_out(b, moving_unknowns(s, tendon_free));
  Eigen::Matrix<double, 5, 5> pose = b.slope.topLeftCorner<5, 5>();
  if (tendon_free)
  {
    const Eigen::Matrix2d inner = b.slope.bottomRightCorner<2, 2>();
    pose -= b.slope.topRightCorner<5, 2>() * inner.inverse() * b.slope.bottomLeftCorner<2, 5>();
  }
  return pose.determinant() > 0;
}

SpatialEquilibrium follow_path(const SpatialSetup &target, const std::function<SpatialSetup(double)> &at, const Vector7 &start,
                               const std::string &what)
{
  SpatialEquilibrium e;
  e.unknowns = start;
  double done = 0, step = first_path_step;
  int iterations = 0;
  while (done < 1)
  {
    const double next = std::min(1.0, done + step);
    SpatialEquilibrium there = judged(target, settle(at(next), e.unknowns));
    iterations += there.iterations;
    if (there.converged)
    {
      e = there;
      done = next;
      step *= 1.6;
    }
    else if ((step /= 2) < smallest_path_step)
    {
      there.iterations = iterations;
      there.reason = fmt::format("the joint gives way at {:.0f} % of the {}: {}", 100 * next, what, there.reason);
      return there;
    }
  }
  e.iterations = iterations;
  return e;
}
} // namespace stifle
