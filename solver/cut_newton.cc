#include "solver/cut_newton.h"
#include "solver/dense.h"

namespace stifle::solver
{
namespace
{
using RowMatrix = Eigen::SparseMatrix<double, Eigen::RowMajor>;
constexpr int    usual_iterations = 30, max_iterations = 100;
constexpr int    stall_over = 10; // beyond the usual number: the residual falls by 5 % in so many, else the search has stalled
constexpr double tolerance      = 1e-12; // of max |base|

/// The equation w = base - C (q(w) - springs), in one of its two forms.
struct Form
{
  const CutFaces        &faces;
  const PlainHeads      *heads;
  const Eigen::MatrixXd &compliance;
  Vector                 base;
  double                 relative_to;
  const Vector          &k0;
  double                 scale;

  Form(const CutProblem &p, bool stuck, double stiffness)
    : faces(p.faces), heads(p.heads), compliance(stuck ? p.stuck() : p.free()), base(compliance * p.load),
      relative_to(stuck ? stiffness : 0), k0(stuck ? p.stuck_k0 : p.free_k0),
      scale(std::max({base.cwiseAbs().maxCoeff(), p.least_scale, 1e-12}))
  {
  }
  Eigen::Index n_heads() const { return heads ? static_cast<Eigen::Index>(heads->n_unknowns()) : 0; }
};

/// Both forms, made when first needed.
class Forms
{
public:
  Forms(const CutProblem &p, double stiffness) : problem_(p), stiffness_(stiffness) {}
  /// The one with less work at w. The free form must be well below: its compliance may not have been needed so far.
  const Form &at(const Vector &w, const ContactLaw &law)
  {
    const CutFaces::Counts counts = problem_.faces.count(w, law);
    const double           touching =
      problem_.free_k0.size() > 0 && problem_.free_k0(0) > 0 ? static_cast<double>(problem_.faces.n_pairs()) : counts.touching;
    return get(problem_.stuck && law.stiffness == stiffness_ && touching > 0.7 * counts.loose);
  }
  const Form &get(bool stuck)
  {
    if (!form_[stuck])
      form_[stuck] = std::make_unique<Form>(problem_, stuck, stiffness_);
    return *form_[stuck];
  }

private:
  const CutProblem     &problem_;
  double                stiffness_;
  std::unique_ptr<Form> form_[2];
};

Vector residual_of(const Form &p, const Vector &w, const ContactLaw &law, std::vector<Eigen::MatrixXd> *tangents)
{
  Vector q = p.faces.contact_force(w, law, p.relative_to, tangents);
  if (p.n_heads() > 0)
    q.tail(p.n_heads()) += p.heads->force(w.tail(p.n_heads()), law.heads, law.stiffness);
  if (p.k0.size() > 0)
    q -= p.k0.cwiseProduct(w);
  Vector r = w - p.base;
  for (int i = 0; i < q.size(); ++i) // C has thousands of columns; most forces are zero
    if (q(i) != 0)
      r.noalias() += q(i) * p.compliance.col(i);
  return r;
}

// Tangent of the force on all of w.
RowMatrix tangent_of(const Form &p, const ContactLaw &law, const std::vector<Eigen::MatrixXd> &tangents, const Vector &w)
{
  const int                           n = static_cast<int>(w.size()), first = n - static_cast<int>(p.n_heads());
  std::vector<Eigen::Triplet<double>> entries;
  for (int i = 0; i < p.k0.size(); ++i)
    if (p.k0(i) > 0)
      entries.emplace_back(i, i, -p.k0(i));
  if (first < n)
  {
    const Vector heads = p.heads->tangent(w.tail(n - first), law.heads, law.stiffness);
    for (int i = first; i < n; ++i)
      entries.emplace_back(i, i, heads(i - first));
  }
  for (std::size_t f = 0; f < tangents.size(); ++f)
    if (tangents[f].size() > 0)
      for (int j = 0; j < 9; ++j)
        for (int i = 0; i < 9; ++i)
          if (tangents[f](i, j) != 0)
            entries.emplace_back(3 * p.faces.faces()[f].pair[i / 3] + i % 3, 3 * p.faces.faces()[f].pair[j / 3] + j % 3,
                                 tangents[f](i, j));
  RowMatrix d(n, n);
  d.setFromTriplets(entries.begin(), entries.end());
  return d;
}

// delta of (I + C D) delta = -r, by the change of force q = D delta: (I + D C) q = -D r on the rows where D is not empty.
// Where the cut slips but stays closed, the stuck form leaves two rows of three. In single precision: half the work, and a step that is
// right to six digits costs no more steps, because the residual is taken in double. A cut that hardly anything holds needs double.
template <class Scalar> bool newton_step(const Form &p, const RowMatrix &d, const Vector &r, Vector &delta)
{
  std::vector<int> rows;
  for (int i = 0; i < d.rows(); ++i)
    if (d.outerIndexPtr()[i + 1] > d.outerIndexPtr()[i])
      rows.push_back(i);
  const int       n = static_cast<int>(rows.size()), all = static_cast<int>(r.size());
  const Vector    pull = d * r;
  Eigen::Matrix<Scalar, Eigen::Dynamic, 1>              q(n);
  Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic> c(n, all), matrix; // the matrix is built transposed: whole columns of C are added up
  Eigen::SparseMatrix<Scalar, Eigen::RowMajor> d_rows(n, all);
  d_rows.reserve(d.nonZeros());
  for (int i = 0; i < n; ++i)
  {
    q(i) = static_cast<Scalar>(-pull(rows[i]));
    d_rows.startVec(i);
    for (RowMatrix::InnerIterator it(d, rows[i]); it; ++it)
      d_rows.insertBack(i, it.col()) = static_cast<Scalar>(it.value());
  }
  d_rows.finalize();
  for (int j = 0; j < all; ++j)
    for (int i = 0; i < n; ++i)
      c(i, j) = static_cast<Scalar>(p.compliance(rows[i], j));
  matrix.noalias() = c * d_rows.transpose();
  matrix.diagonal().array() += 1;
  if (n > 0 && !solve_transposed(matrix, q))
    return false;
  delta = -r;
  for (int j = 0; j < n; ++j)
    delta.noalias() -= static_cast<double>(q(j)) * p.compliance.col(rows[j]);
  return true;
}

// The best of a full and three shorter steps; a full step is taken when no shorter one is better (the active set moves).
bool line_search(const Form &form, const ContactLaw &law, const Vector &delta, double before, Vector &w)
{
  Vector best_w;
  double best = 1e300, length = 1;
  for (int k = 0; k < 4 && best > 0.9999 * before; ++k, length *= 0.5)
  {
    const Vector w_new = w + length * delta;
    const double size  = residual_of(form, w_new, law, nullptr).norm();
    if (size < best)
    {
      best   = size;
      best_w = w_new;
    }
  }
  if (!(best < 1e300))
    return false;
  w = best_w;
  return true;
}

// Friction of a plate that slips nearly everywhere takes many short steps before the last quick ones.
bool stalled(const std::vector<double> &norms)
{
  const std::size_t n = norms.size() - 1; // steps made
  return n >= max_iterations || (n >= usual_iterations && norms[n] > 0.95 * norms[n - stall_over]);
}

template <class Scalar> bool newton(Forms &forms, const ContactLaw &law, CutSolution &s, double wanted)
{
  std::vector<Eigen::MatrixXd> tangents;
  std::vector<double>          norms;
  Vector                       delta;
  s.history.clear();
  for (;;)
  {
    const Form  &form = forms.at(s.w, law);
    const Vector r    = residual_of(form, s.w, law, &tangents);
    s.history.push_back(r.cwiseAbs().maxCoeff() / form.scale);
    s.residual = s.history.back();
    if (s.residual <= wanted)
      return true;
    norms.push_back(r.norm());
    if (stalled(norms))
      return false;
    ++s.iterations;
    if (!newton_step<Scalar>(form, tangent_of(form, law, tangents, s.w), r, delta) ||
        !line_search(form, law, delta, norms.back(), s.w))
      return false;
  }
}
} // namespace

// Where the search starts from nothing: all that touches sticks. Heads make that a (small, nearly linear) problem of its own.
static Vector first_guess(Forms &forms, const CutProblem &problem, const ContactLaw &law)
{
  const Form &form = forms.get(static_cast<bool>(problem.stuck));
  if (form.n_heads() == 0 || !problem.stuck)
    return form.base;
  CutSolution s;
  s.w                = form.base;
  ContactLaw held    = law;
  held.all_stick     = true;
  newton<float>(forms, held, s, 1e-6);
  return s.w.allFinite() ? s.w : form.base;
}

CutSolution solve_cut(const CutProblem &problem, const ContactLaw &law, const Vector &start)
{
  Forms        forms(problem, law.stiffness);
  const Vector first = start.size() > 0 ? start : first_guess(forms, problem, law);
  CutSolution  s;
  s.w         = first;
  s.converged = newton<float>(forms, law, s, tolerance);
  if (s.converged)
    return s;
  s.w         = first;
  s.converged = newton<double>(forms, law, s, tolerance);
  if (s.converged)
    return s;
  // Soft contact first: 1e3, then the wanted stiffness in factors of at most ten.
  s.w = first;
  for (double k = std::min(1e3, law.stiffness);; k = std::min(10 * k, law.stiffness))
  {
    ContactLaw soft = law;
    soft.stiffness  = k;
    s.converged     = newton<double>(forms, soft, s, k < law.stiffness ? 1e-6 : tolerance);
    if (k >= law.stiffness)
      break;
  }
  if (s.converged)
    return s;
  // Friction in steps, from none.
  s.w = first;
  for (const double share : {0.0, 0.25, 0.5, 0.75, 0.9, 1.0})
  {
    ContactLaw smooth = law;
    smooth.friction *= share;
    smooth.plate_friction *= share;
    s.converged = newton<double>(forms, smooth, s, share < 1 ? 1e-6 : tolerance);
  }
  return s;
}
} // namespace stifle::solver
