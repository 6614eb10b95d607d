#include "solver/plastic_solve.h"
#include "models/core/error.h"
#include <chrono>
#include <cmath>
#include <fmt/format.h>

namespace stifle::solver
{
namespace
{
class Run
{
public:
  Run(const PlasticProblem &problem, const PlasticOptions &options)
      : problem_(problem), options_(options), system_(problem), solver_(system_.order(), options.patience)
  {
  }
  PlasticResult go();

private:
  void start();
  bool reach(double target);
  bool over() const { return is_spent_ || (options_.enough && options_.enough()); }
  bool step_to(double factor);
  bool newton(double factor, Vector &x, PlasticStep &step);
  double line_search(const Vector &change, double factor, double before, Vector &x);
  Vector predictor(double factor) const;
  double relative_size(const Vector &residual, double factor);
  void keep(double factor, Vector x, PlasticStep step);
  const PlasticProblem &problem_;
  const PlasticOptions &options_;
  PlasticSystem system_;
  TangentSolver solver_;
  PlasticResult result_;
  Vector elastic_, x_, x_before_; ///< elastic answer to factor 1, last two equilibria
  double factor_ = 0, factor_before_ = 0, scale_ = 0, scale_here_ = 0;
  int spared_ = 0; ///< iterations of steps given up
  bool is_spent_ = false; ///< an iteration was needed beyond options_.most_iterations
};

void Run::start()
{
  elastic_ = Vector::Zero(system_.n_unknowns());
  x_ = x_before_ = elastic_;
  if (options_.start.size() > 0)
  {
    elastic_ = system_.unknowns(options_.start);
    return;
  }
  system_.set_fixed(1, elastic_);
  Vector change;
  if (!solver_.solve(system_.elastic_tangent(), -system_.free_part(system_.elastic_residual(elastic_, 1)), 1e-10, change))
    throw Error("plasticity: the elastic body could not be solved");
  system_.add_to_free(1, change, elastic_);
}

// Straight on when the load goes on as before, else elastic.
Vector Run::predictor(double factor) const
{
  const double step = factor - factor_, before = factor_ - factor_before_;
  if (step * before > 0)
    return x_ + step / before * (x_ - x_before_);
  return x_ + step * elastic_;
}

// Over the load, or over the reactions where only displacements are prescribed; at least that of the largest equilibrium so
// far, so that unloading has a scale.
double Run::relative_size(const Vector &residual, double factor)
{
  const double free = system_.free_part(residual).norm();
  const double held = std::sqrt(std::max(0.0, residual.squaredNorm() - free * free));
  const double load = problem_.force.size() > 0 ? std::abs(factor) * problem_.force.norm() : 0;
  scale_here_ = std::max(scale_, load > 0 ? load : held);
  return scale_here_ > 0 ? free / scale_here_ : free;
}

// Newton's direction goes down an energy (up to friction): shorten where the slope along it has turned clearly.
double Run::line_search(const Vector &change, double factor, double before, Vector &x)
{
  const Vector start = x;
  double low = 0, low_slope = before, high = 1, length = 1;
  for (int k = 0; k < 6; ++k)
  {
    x = start;
    system_.add_to_free(length, change, x);
    const double slope = change.dot(system_.free_part(system_.residual(x, factor)));
    if (!(before < 0) || slope <= 0.5 * std::abs(before))
      break;
    high = length;
    length = std::max(low - low_slope * (high - low) / (slope - low_slope), low + 0.1 * (high - low));
  }
  return length;
}

bool Run::newton(double factor, Vector &x, PlasticStep &step)
{
  system_.set_fixed(factor, x);
  const double far = options_.runaway * std::max({std::abs(factor), std::abs(factor_), 1e-3}) * elastic_.cwiseAbs().maxCoeff();
  for (int it = 0;; ++it)
  {
    const Vector r = system_.residual(x, factor);
    step.residuals.push_back(relative_size(r, factor));
    if (step.residuals.back() <= options_.tolerance)
      return true;
    is_spent_ = options_.most_iterations > 0 && result_.iterations - spared_ >= options_.most_iterations;
    if (is_spent_ || it == options_.max_iterations || !(x.cwiseAbs().maxCoeff() < far))
      return false;
    const Vector b = -system_.free_part(r);
    const double tolerance = std::min(1e-2, std::max(1e-8, step.residuals.back())); // keeps the rate quadratic
    Vector change;
    ++step.iterations;
    ++result_.iterations;
    if (!solver_.solve(system_.tangent(x), b, tolerance, change))
      return false;
    line_search(change, factor, -change.dot(b), x);
  }
}

void Run::keep(double factor, Vector x, PlasticStep step)
{
  system_.accept();
  x_before_ = std::move(x_);
  x_ = std::move(x);
  factor_before_ = factor_;
  factor_ = factor;
  scale_ = scale_here_;
  result_.displacement = system_.displacement(x_);
  step.parts = system_.sums();
  step.factor = factor;
  for (const PlasticSystem::PartSums &part : step.parts)
  {
    step.plastic_volume_mm3 += part.plastic_volume_mm3;
    step.peak_plastic_strain = std::max(step.peak_plastic_strain, part.peak_strain);
  }
  step.largest_displacement_mm = result_.displacement.cwiseAbs().maxCoeff();
  result_.plastic_volume_mm3 = step.plastic_volume_mm3;
  result_.load_factor_reached = std::max(result_.load_factor_reached, factor);
  result_.steps.push_back(std::move(step));
  if (options_.on_step)
    options_.on_step(result_.steps.back(), result_.displacement);
}

bool Run::step_to(double factor)
{
  PlasticStep step;
  Vector x = predictor(factor);
  bool found = false;
  try
  {
    found = newton(factor, x, step);
    result_.reason = "no equilibrium";
  }
  catch (const Error &error) // the tangent is not positive definite any more
  {
    result_.reason = error.what();
  }
  if (found)
    keep(factor, std::move(x), std::move(step));
  else
  {
    result_.failed_residuals = step.residuals;
    spared_ += step.iterations;
  }
  return found;
}

// Halves towards a load that failed; the last try goes to it from close by.
bool Run::reach(double target)
{
  if (step_to(target))
    return true;
  double failed = target;
  while (!over() && std::abs(failed - factor_) > options_.smallest_step)
  {
    const double middle = 0.5 * (failed + factor_);
    if (!step_to(middle))
      failed = middle;
  }
  if (over() || !step_to(failed))
    return false;
  return failed == target || over() || reach(target);
}

PlasticResult Run::go()
{
  const auto begin = std::chrono::steady_clock::now();
  start();
  for (const double target : options_.factors)
  {
    const bool reached = reach(target);
    result_.collapsed = !reached && !over();
    if (!reached || over())
      break;
  }
  if (is_spent_)
    result_.reason = fmt::format("the {} Newton iterations allowed are used up", options_.most_iterations);
  else if (!result_.collapsed)
    result_.reason.clear();
  result_.reaction = Vector::Zero(x_.size());
  result_.mean_stress_mpa = system_.mean_stress(system_.displacement(x_));
  if (!result_.steps.empty())
  {
    const Vector r = system_.residual(x_, factor_);
    for (const Fixed &f : problem_.fixed)
      result_.reaction(3 * f.node + f.component) = r(3 * f.node + f.component);
  }
  result_.factorisations = solver_.factorisations();
  result_.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  return result_;
}
} // namespace

PlasticResult solve_plastic(const PlasticProblem &problem, const PlasticOptions &options)
{
  for (const double factor : options.factors)
    if (!std::isfinite(factor))
      throw Error("plasticity: a load factor is not finite");
  return Run(problem, options).go();
}
} // namespace stifle::solver
