#include "solver/cg_contact.h"
#include <algorithm>
#include <cmath>

namespace stifle::solver
{
namespace
{
constexpr int usual_iterations = 40, max_iterations = 100, stall_over = 10;
constexpr int most_setups = 4; // a search
constexpr double iterations_a_digit = 12; // of a linear step; with faces known rightly it is 4

class Search
{
public:
  Search(CgConstruct &system, const CgContactProblem &problem) : system_(system), p_(problem) {}

  Vector jump(const Vector &u) const
  {
    const auto &pairs = p_.faces.pairs();
    Vector      w(3 * pairs.size());
    for (std::size_t i = 0; i < pairs.size(); ++i)
      w.segment<3>(3 * i) = pairs[i].frame.transpose() * (u.segment<3>(3 * system_.unknown(pairs[i].distal)) -
                                                          u.segment<3>(3 * system_.unknown(pairs[i].proximal)));
    return w;
  }

  /// Forces on w, and their tangents per face.
  Vector face_force(const Vector &w, const ContactLaw &law, std::vector<Eigen::MatrixXd> *tangents) const
  {
    Vector q = p_.faces.contact_force(w, law, 0, tangents);
    p_.faces.add_callus_force(w, p_.callus_normal, p_.callus_tangential, q);
    if (!tangents || (p_.callus_normal == 0 && p_.callus_tangential == 0))
      return q;
    const Vector3 callus(p_.callus_normal, p_.callus_tangential, p_.callus_tangential);
    for (std::size_t f = 0; f < tangents->size(); ++f)
    {
      Eigen::MatrixXd &d = (*tangents)[f];
      if (d.size() == 0)
        d = Eigen::MatrixXd::Zero(9, 9);
      for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
          d.block<3, 3>(3 * i, 3 * j).diagonal() += p_.faces.faces()[f].mass(i, j) * callus;
    }
    return q;
  }

  /// What the faces have in the matrix already.
  void take_laid(const Vector &w, Vector &q) const
  {
    for (std::size_t f = 0; f < system_.laid().size(); ++f)
      if (const Eigen::MatrixXd &d = system_.laid()[f]; d.size() > 0)
      {
        Eigen::Matrix<double, 9, 1> here;
        for (int i = 0; i < 3; ++i)
          here.segment<3>(3 * i) = w.segment<3>(3 * p_.faces.faces()[f].pair[i]);
        const Eigen::Matrix<double, 9, 1> force = d * here;
        for (int i = 0; i < 3; ++i)
          q.segment<3>(3 * p_.faces.faces()[f].pair[i]) -= force.segment<3>(3 * i);
      }
  }

  Vector residual(const Vector &u, const ContactLaw &law, std::vector<Eigen::MatrixXd> *tangents) const
  {
    Vector       r = system_.solver().times(u) - p_.force;
    const Vector w = jump(u);
    Vector       q = face_force(w, law, tangents);
    take_laid(w, q);
    for (std::size_t i = 0; i < p_.faces.pairs().size(); ++i)
    {
      const CutFaces::Pair &pair  = p_.faces.pairs()[i];
      const Vector3         force = pair.frame * q.segment<3>(3 * i);
      r.segment<3>(3 * system_.unknown(pair.distal)) += force;
      r.segment<3>(3 * system_.unknown(pair.proximal)) -= force;
    }
    return r;
  }

  bool newton(const ContactLaw &law, CgContactSolution &s, double wanted);

private:
  void   set_tangent(const std::vector<Eigen::MatrixXd> &tangents);
  void   lay(const std::vector<Eigen::MatrixXd> &tangents);
  double line_search(const ContactLaw &law, const Vector &delta, double before, Vector &u) const;
  double size_of(const Vector &residual) const { return system_.solver().precondition(residual).norm(); }
  CgConstruct            &system_;
  const CgContactProblem &p_;
};

void Search::set_tangent(const std::vector<Eigen::MatrixXd> &tangents)
{
  std::vector<CgAmg::Change> list;
  for (std::size_t f = 0; f < tangents.size(); ++f)
  {
    Eigen::MatrixXd d = tangents[f].size() > 0 ? tangents[f] : Eigen::MatrixXd::Zero(9, 9);
    if (system_.laid()[f].size() > 0)
      d -= system_.laid()[f];
    if (d.isZero(0))
      continue;
    CgAmg::Change c;
    c.matrix = CgConstruct::on_nodes(p_.faces, f, d, c.nodes);
    for (unsigned &node : c.nodes)
      node = static_cast<unsigned>(system_.unknown(node));
    list.push_back(std::move(c));
  }
  system_.solver().change(list, false);
}

// The pull of pressure on friction is left out: without it a tangent is symmetric and positive.
void Search::lay(const std::vector<Eigen::MatrixXd> &tangents)
{
  std::vector<Eigen::MatrixXd> faces = tangents;
  for (Eigen::MatrixXd &d : faces)
    for (int i = 0; i < d.rows(); ++i)
      for (int j = 0; j < d.cols(); ++j)
        if ((i % 3 == 0) != (j % 3 == 0))
          d(i, j) = 0;
  system_.lay(std::move(faces));
}

// The best of a full and three shorter steps; a full one is taken when none is better (the touching area moves).
double Search::line_search(const ContactLaw &law, const Vector &delta, double before, Vector &u) const
{
  Vector best_u;
  double best = 1e300, length = 1, taken = 0;
  for (int k = 0; k < 4 && best > 0.9999 * before; ++k, length *= 0.5)
  {
    const Vector u_new = u + length * delta;
    const double size  = size_of(residual(u_new, law, nullptr));
    if (size < best)
    {
      best   = size;
      best_u = u_new;
      taken  = length;
    }
  }
  if (taken > 0)
    u = best_u;
  return taken;
}

bool Search::newton(const ContactLaw &law, CgContactSolution &s, double wanted)
{
  std::vector<Eigen::MatrixXd> tangents;
  std::vector<double>          norms;
  double                       share = 0.05;
  for (;;)
  {
    const Vector r = residual(s.u, law, &tangents);
    norms.push_back(size_of(r));
    const std::size_t n = norms.size() - 1;
    if (n >= max_iterations || (n >= usual_iterations && norms[n] > 0.95 * norms[n - stall_over]))
      return false;
    if (n > 0) // tight where Newton is near
      share = std::clamp(0.5 * norms[n] / norms[n - 1], 1e-4, 0.05);
    set_tangent(tangents);
    Vector            delta;
    const SolveReport report = system_.solver().solve(-r, delta, share);
    s.linear_iterations += static_cast<int>(report.iterations);
    ++s.iterations;
    if (!delta.allFinite())
      return false;
    const double taken = line_search(law, delta, norms.back(), s.u);
    s.residual         = delta.cwiseAbs().maxCoeff() / std::max(s.u.cwiseAbs().maxCoeff(), 1e-12);
    if (taken == 1 && report.converged && s.residual <= wanted)
      return true;
    if (!(taken > 0))
      return false;
    if (report.iterations > iterations_a_digit * -std::log10(share) && s.setups < most_setups)
    {
      residual(s.u, law, &tangents);
      lay(tangents);
      ++s.setups;
      norms.clear(); // measured by another preconditioner
      share = 0.05;
    }
  }
}
} // namespace

CgContactSolution solve_contact(CgConstruct &system, const CgContactProblem &p, const Vector &start)
{
  Search            search(system, p);
  CgContactSolution s;
  Vector            first = start;
  if (first.size() == 0)
  {
    system.solver().change({}, true);
    s.linear_iterations += static_cast<int>(system.solver().solve(p.force, first, 1e-3).iterations);
  }
  const auto attempt = [&](double soften, double rub, double wanted) {
    ContactLaw law = p.law;
    law.stiffness *= soften;
    law.friction *= rub;
    return search.newton(law, s, wanted);
  };
  s.u         = first;
  s.converged = attempt(1, 1, p.tolerance);
  if (!s.converged) // soft contact first
  {
    s.u = first;
    attempt(0.1, 1, 1e-5);
    s.converged = attempt(1, 1, p.tolerance);
  }
  if (!s.converged) // friction in steps, from none
  {
    s.u = first;
    for (const double rub : {0.0, 0.25, 0.5, 0.75, 0.9, 1.0})
      s.converged = attempt(1, rub, rub < 1 ? 1e-5 : p.tolerance);
  }
  s.w = search.jump(s.u);
  s.q = p.faces.contact_force(s.w, p.law);
  p.faces.add_callus_force(s.w, p.callus_normal, p.callus_tangential, s.q);
  return s;
}
} // namespace stifle::solver
