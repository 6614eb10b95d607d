// C10: steel roller of radius 50 mm on an aluminium block 200 x 200 mm, 35 kN, plane strain, 1 mm thick (construct.md 2.9)
//
//        F at the top     half model x > 0: roller = the whole half disc, block = 100 x 200 below it, base fixed, u_x = 0 on x = 0,
//          v              u_y = 0 everywhere (plane strain), half of F as a line load at the top of the roller
//         ( )             1/E* = (1 - nu^2)(1/210e3 + 1/70e3), E* = 57692.31; a^2 = 4 F R / (pi E*), a = 6.214628 mm; p0 = 2 F / (pi a)
//   ______( )______       = 3585.362 MPa (Hertz; half-spaces, so at a / R = 0.12 only near: 5 % and 3 %)
//   |             |
//   |_____________|       contact: CutFaces and solve_cut of the construct. The faces lie apart by the true arc,
//                         R - sqrt(R^2 - x^2); block side first, so the normal is the block's. Condensed to w by a Schur complement,
//   since ConstructSystem knows no symmetry planes. Stiffness 1e4 to 5e5 N/mm^3 in steps, each from the one before.
//   read    pressure = stiffness * penetration at the corners of the faces; edge: straight line through the last two that touch
#include "models/core/error.h"
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"
#include "solver/cut_newton.h"
#include <Eigen/SparseCholesky>
#include <fmt/format.h>
#include <map>

namespace stifle::checks
{
namespace
{
constexpr double radius = 50, half_load = 17500, may_touch = 12; ///< mm, N, mm

std::vector<double> grown(double first, double growth, double last)
{
  std::vector<double> v = {0};
  for (double step = first; v.back() + 1.5 * step < last; step *= growth)
    v.push_back(v.back() + step);
  v.push_back(last);
  return v;
}

/// Parameters (x, height or 1 + share of the roller's column, y).
Vector3 place(const Vector3 &p)
{
  if (p[1] <= 0)
    return {p[0], p[2], p[1]};
  const double half_column = std::sqrt(std::max(0.0, radius * radius - p[0] * p[0]));
  return {p[0], p[2], radius - half_column + 2 * half_column * (p[1] - 1)};
}

Body roller_and_block(double step)
{
  std::vector<double> x = steps(0, 8, static_cast<int>(std::lround(8 / step))), in_roller, in_block;
  for (const double more : {8.5, 9.0, 10.0, 11.0, may_touch})
    x.push_back(more);
  in_block = in_roller = x;
  for (const double more : {14., 17., 21., 26., 31., 36., 40., 43.5, 46.5, 48.7})
    in_roller.push_back(more);
  in_roller.push_back(radius);
  for (const double more : {14., 17., 21., 27., 35., 46., 60., 80., 100.})
    in_block.push_back(more);
  const std::vector<double> down = grown(step, 1.35, 200);
  std::vector<double>       up   = grown(step / (2 * radius), 1.35, 0.6);
  for (const double more : {0.72, 0.84, 0.93, 1.0})
    up.push_back(more);
  Section section;
  section.add_grid(in_block.size() - 1, down.size() - 1, [&](int i, int j) { return Vector2(in_block[i], -down[j]); }, 0);
  section.add_grid(in_roller.size() - 1, up.size() - 1, [&](int i, int j) {
    return Vector2(in_roller[i], in_roller[i] == radius ? 1.5 : 1 + up[j]); // the last column is a point
  }, 1);
  Body body = extrude(section, {0, 1}, place, {"block", "roller"});
  body.mesh.component = {0, 1};
  std::map<std::pair<double, double>, unsigned> arc; // (x, y) of the roller's lower side
  for (unsigned i = 0; i < body.parameter.size(); ++i)
    if (body.parameter[i][1] == 1)
      arc[{body.parameter[i][0], body.parameter[i][2]}] = i;
  for (const mesh::BoundaryFace &face : mesh::boundary_faces(body.mesh))
  {
    const auto &t    = face.triangle;
    const auto  top = [&](unsigned v) { return body.parameter[v][1] == 0 && body.parameter[v][0] <= may_touch; };
    if (!top(t[0]) || !top(t[1]) || !top(t[2]))
      continue;
    const auto twin = [&](unsigned v) { return arc.at({body.parameter[v][0], body.parameter[v][2]}); };
    body.mesh.cut.push_back({t, {twin(t[0]), twin(t[1]), twin(t[2])}, 0, 1});
  }
  return body;
}

/// Both bodies condensed to the relative unknowns w of the contact.
class Condensed
{
public:
  explicit Condensed(const Problem &problem) : elasticity_(problem.elasticity()), faces(problem.elasticity(), false, true)
  {
    number(problem);
    const solver::SparseMatrix t = transformation(), k = t.transpose() * elasticity_.stiffness() * t;
    const int                  n_w = static_cast<int>(n_ - n_inner_);
    const Eigen::SimplicialLDLT<solver::SparseMatrix> inner(k.topLeftCorner(n_inner_, n_inner_));
    if (inner.info() != Eigen::Success)
      throw Error("roller: the two bodies do not stand");
    const Eigen::MatrixXd across = k.topRightCorner(n_inner_, n_w), carried = inner.solve(across);
    const Eigen::MatrixXd schur = Eigen::MatrixXd(k.bottomRightCorner(n_w, n_w)) - across.transpose() * carried;
    const solver::Vector  f = t.transpose() * problem.force();
    const solver::Vector  g = f.tail(n_w) - carried.transpose() * f.head(n_inner_);
    const Eigen::MatrixXd c = (schur + k0 * Eigen::MatrixXd::Identity(n_w, n_w)).ldlt().solve(Eigen::MatrixXd::Identity(n_w, n_w));
    const int n_all = static_cast<int>(3 * faces.n_pairs());
    load       = solver::Vector::Zero(n_all);
    compliance = Eigen::MatrixXd::Zero(n_all, n_all); // a held w has no compliance
    for (int j = 0; j < n_w; ++j)
    {
      load(w_entry_[j]) = g(j);
      for (int i = 0; i < n_w; ++i)
        compliance(w_entry_[i], w_entry_[j]) = c(i, j);
    }
  }

private:
  const solver::Elasticity &elasticity_;

public:
  static constexpr double k0 = 1e3; ///< N/mm on each w: without contact the roller floats; solve_cut takes it out again
  solver::CutFaces faces;
  solver::Vector   load;
  Eigen::MatrixXd  compliance;

private:
  /// u_y = 0 everywhere, u_x = 0 on x = 0, all on the base.
  bool held(const Vector3 &parameter, int component) const
  {
    return component == 1 || (component == 0 && same(parameter[0], 0)) || parameter[1] < -200 + 1e-9;
  }
  void number(const Problem &problem)
  {
    std::vector<char> distal(elasticity_.n_nodes(), 0);
    for (const auto &pair : faces.pairs())
      distal[pair.distal] = 1;
    for (const auto &middle : faces.middles())
      distal[middle.distal] = 1;
    unknown_.assign(3 * elasticity_.n_nodes(), -1);
    for (std::size_t i = 0; i < 3 * elasticity_.n_nodes(); ++i)
      if (!distal[i / 3] && !held(problem.parameter()[i / 3], i % 3))
        unknown_[i] = static_cast<int>(n_++);
    n_inner_ = static_cast<int>(n_);
    w_.assign(3 * faces.n_pairs(), -1);
    for (std::size_t p = 0; p < faces.n_pairs(); ++p)
      for (int c = 0; c < 3; ++c)
      {
        int along = 0;
        faces.pairs()[p].frame.col(c).cwiseAbs().maxCoeff(&along);
        if (held(problem.parameter()[faces.pairs()[p].proximal], along))
          continue;
        w_[3 * p + c] = static_cast<int>(n_++);
        w_entry_.push_back(static_cast<int>(3 * p) + c);
      }
  }
  /// Nodal displacement = T (unknowns): u_roller = u_block + R w, mid-edges with the mean of both ends.
  solver::SparseMatrix transformation() const
  {
    std::vector<Eigen::Triplet<double>> entries;
    const auto add_node = [&](unsigned node, unsigned of) {
      for (int c = 0; c < 3; ++c)
        if (unknown_[3 * of + c] >= 0)
          entries.emplace_back(3 * node + c, unknown_[3 * of + c], 1.0);
    };
    const auto add_jump = [&](unsigned node, unsigned pair, double share) {
      for (int c = 0; c < 3; ++c)
        for (int d = 0; d < 3; ++d)
          if (const double r = faces.pairs()[pair].frame(c, d); w_[3 * pair + d] >= 0 && r != 0)
            entries.emplace_back(3 * node + c, w_[3 * pair + d], share * r);
    };
    for (unsigned i = 0; i < elasticity_.n_nodes(); ++i)
      add_node(i, i);
    for (unsigned p = 0; p < faces.n_pairs(); ++p)
    {
      add_node(faces.pairs()[p].distal, faces.pairs()[p].proximal);
      add_jump(faces.pairs()[p].distal, p, 1);
    }
    for (const auto &middle : faces.middles())
    {
      add_node(middle.distal, middle.proximal);
      for (const unsigned end : middle.ends)
        add_jump(middle.distal, end, 0.5);
    }
    solver::SparseMatrix t(3 * elasticity_.n_nodes(), n_);
    t.setFromTriplets(entries.begin(), entries.end());
    return t;
  }

  std::size_t      n_ = 0;
  int              n_inner_ = 0;
  std::vector<int> unknown_, w_, w_entry_; ///< of nodal components, of w, and back
};

/// Pressure against x along the middle of the strip: mean of both edges y = 0 and 1.
RollerContact read_contact(const Condensed &c, const Problem &problem, const solver::Vector &w, double stiffness)
{
  std::map<double, double> depth; // x -> penetration
  for (std::size_t p = 0; p < c.faces.n_pairs(); ++p)
    depth[problem.parameter()[c.faces.pairs()[p].proximal][0]] += 0.5 * -(w(3 * p) + c.faces.pairs()[p].apart_mm);
  RollerContact result;
  std::pair<double, double> last = {0, 0};
  for (const auto &[x, d] : depth)
  {
    result.peak_mpa = std::max(result.peak_mpa, stiffness * d);
    if (d <= 0)
    {
      result.half_width_mm = last.first + (x - last.first) * last.second / (last.second - d);
      break;
    }
    last = {x, d};
  }
  const solver::Vector q = c.faces.contact_force(w, {stiffness, 0, 0});
  for (std::size_t p = 0; p < c.faces.n_pairs(); ++p)
    result.force_n -= q(3 * p);
  return result;
}
} // namespace

std::vector<RollerContact> roller_contact(double step, const std::vector<double> &stiffness)
{
  Problem problem(roller_and_block(step), {{70e3, 0.3}, {210e3, 0.3}});
  problem.load_line([](const Vector3 &p) { return same(p[0], 0) && same(p[1], 2); }, Vector3(0, 0, -half_load));
  const Condensed            condensed(problem);
  solver::CutProblem         cut{condensed.faces, condensed.load, [&]() -> const Eigen::MatrixXd & { return condensed.compliance; }, {}};
  cut.free_k0 = solver::Vector::Constant(condensed.load.size(), Condensed::k0);
  std::vector<RollerContact> all;
  solver::Vector             w;
  for (const double k : stiffness)
  {
    const solver::CutSolution solution = solver::solve_cut(cut, {k, 0, 0}, w);
    if (!solution.converged)
      throw Error(fmt::format("roller: contact did not converge at {:g} N/mm3, residual {:.1e}", k, solution.residual));
    w = solution.w;
    all.push_back(read_contact(condensed, problem, w, k));
  }
  return all;
}

std::vector<CheckRow> roller_on_block()
{
  const double               a = 6.214628, p0 = 3585.362;
  const std::vector<double>  stiffness = {1e4, 1e5, 5e5};
  const auto                 fine = roller_contact(0.25, stiffness);
  const RollerContact       &at   = fine.back();
  const std::string          hertz = "Hertz, construct.md 1.8 and 2.9 (closed form; half-spaces); frictionless, 5e5 N/mm3";
  const std::string          steps_said = fmt::format("; at 1e4 and 1e5: {:.1f} and {:.1f}", fine[0].peak_mpa, fine[1].peak_mpa);
  return {verified("C10", "roller on block, half width of the contact", at.half_width_mm, a, 0.05 * a, "mm", hertz),
          verified("C10", "roller on block, largest pressure", at.peak_mpa, p0, 0.03 * p0, "MPa", hertz + steps_said),
          verified("C10", "roller on block, sum of the pressure on the half", at.force_n, half_load, 1e-6 * half_load, "N",
                   "balance with the load")};
}
} // namespace stifle::checks
