#include "solver/cut_newton.h"
#include "solver/dense.h"

namespace stifle::solver
{
namespace
{
constexpr int    max_iterations = 30;
constexpr double tolerance      = 1e-12; // of max |base|

struct Problem
{
  const CutFaces        &faces;
  const Vector          &base;
  const Eigen::MatrixXd &compliance;
  double                 k0;
};

// Rows of the pairs that carry; every pair when the artificial stiffness acts.
std::vector<int> active_rows(const Problem &p, const std::vector<Eigen::MatrixXd> &tangents, std::vector<int> &position)
{
  std::vector<char> wanted(p.faces.n_pairs(), p.k0 > 0);
  for (std::size_t f = 0; f < tangents.size(); ++f)
    if (tangents[f].size() > 0)
      for (const unsigned pair : p.faces.faces()[f].pair)
        wanted[pair] = 1;
  std::vector<int> rows;
  position.assign(wanted.size(), -1);
  for (std::size_t i = 0; i < wanted.size(); ++i)
    if (wanted[i])
    {
      position[i] = static_cast<int>(rows.size() / 3);
      for (int c = 0; c < 3; ++c)
        rows.push_back(static_cast<int>(3 * i) + c);
    }
  return rows;
}

Vector residual_of(const Problem &p, const Vector &w, const ContactLaw &law, std::vector<Eigen::MatrixXd> *tangents)
{
  Vector q = p.faces.contact_force(w, law, tangents);
  q -= p.k0 * w;
  std::vector<int> loaded; // C has thousands of columns; most forces are zero
  for (int i = 0; i < q.size(); ++i)
    if (q(i) != 0)
      loaded.push_back(i);
  Vector r = w - p.base;
  for (const int i : loaded)
    r.noalias() += q(i) * p.compliance.col(i);
  return r;
}

// delta of (I + C D) delta = -r.
bool newton_step(const Problem &p, const Vector &r, const std::vector<Eigen::MatrixXd> &tangents, Vector &delta)
{
  std::vector<int>       position;
  const std::vector<int> rows = active_rows(p, tangents, position);
  const int              n    = static_cast<int>(rows.size());
  delta                       = -r;
  if (n == 0)
    return true;
  Eigen::MatrixXd d = Eigen::MatrixXd::Zero(n, n);
  d.diagonal().array() -= p.k0;
  for (std::size_t f = 0; f < tangents.size(); ++f)
    if (tangents[f].size() > 0)
      for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
          d.block<3, 3>(3 * position[p.faces.faces()[f].pair[i]], 3 * position[p.faces.faces()[f].pair[j]]) +=
            tangents[f].block<3, 3>(3 * i, 3 * j);
  const Eigen::SparseMatrix<double> d_sparse = d.sparseView();
  Eigen::MatrixXd                   c(n, n);
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < n; ++i)
      c(i, j) = p.compliance(rows[i], rows[j]);
  d.noalias() = c * d_sparse;
  d.diagonal().array() += 1;
  Vector x(n);
  for (int i = 0; i < n; ++i)
    x(i) = -r(rows[i]);
  if (!solve_general(d, x))
    return false;
  const Vector q = d_sparse * x;
  for (int j = 0; j < n; ++j)
    delta.noalias() -= q(j) * p.compliance.col(rows[j]);
  for (int i = 0; i < n; ++i)
    delta(rows[i]) = x(i);
  return true;
}

// Newton with backtracking on the residual; a full step is taken when no shorter one is better (the active set moves).
bool newton(const Problem &p, const ContactLaw &law, CutSolution &s, double wanted)
{
  const double                 scale = std::max(p.base.cwiseAbs().maxCoeff(), 1e-12);
  std::vector<Eigen::MatrixXd> tangents;
  Vector                       r = residual_of(p, s.w, law, &tangents);
  s.history.assign(1, r.cwiseAbs().maxCoeff() / scale);
  for (int it = 0; it < max_iterations && s.history.back() > wanted; ++it)
  {
    Vector delta;
    ++s.iterations;
    if (!newton_step(p, r, tangents, delta))
      return false;
    const double before = r.norm();
    double       length = 1;
    Vector       best_w, best_r;
    double       best = 1e300;
    for (int k = 0; k < 4 && best > 0.9999 * before; ++k, length *= 0.5)
    {
      const Vector w_new = s.w + length * delta;
      const Vector r_new = residual_of(p, w_new, law, nullptr);
      if (r_new.norm() < best)
      {
        best   = r_new.norm();
        best_w = w_new;
        best_r = r_new;
      }
    }
    if (!(best < 1e300))
      return false;
    s.w = best_w;
    r   = residual_of(p, s.w, law, &tangents);
    s.history.push_back(r.cwiseAbs().maxCoeff() / scale);
  }
  s.residual = s.history.back();
  return s.residual <= wanted;
}
} // namespace

CutSolution solve_cut(const CutFaces &faces, const Vector &base, const Eigen::MatrixXd &compliance, double k0,
                      const ContactLaw &law, const Vector &start, bool warm)
{
  const Problem p{faces, base, compliance, k0};
  CutSolution   s;
  s.w = start;
  if (warm && newton(p, law, s, tolerance))
  {
    s.converged = true;
    return s;
  }
  // Soft contact first: 1e3, then the wanted stiffness in factors of at most ten.
  s.w = start;
  for (double k = std::min(1e3, law.stiffness);; k = std::min(10 * k, law.stiffness))
  {
    s.converged = newton(p, {k, law.friction}, s, k < law.stiffness ? 1e-6 : tolerance);
    if (k >= law.stiffness)
      break;
  }
  if (s.converged)
    return s;
  // Friction in steps, from none.
  s.w = start;
  for (const double share : {0.0, 0.25, 0.5, 0.75, 0.9, 1.0})
    s.converged = newton(p, {law.stiffness, share * law.friction}, s, share < 1 ? 1e-6 : tolerance);
  return s;
}
} // namespace stifle::solver
