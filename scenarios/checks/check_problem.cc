#include "models/core/error.h"
#include "scenarios/checks/check_model.h"
#include <set>

namespace stifle::checks
{
namespace
{
constexpr std::array<std::array<int, 2>, 6> edges = {{{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}}};
} // namespace

Problem::Problem(Body body, std::vector<solver::IsotropicMaterial> materials)
  : body_(std::move(body)), elasticity_(body_.mesh, std::move(materials)), parameter_(elasticity_.n_nodes(), Vector3::Zero()),
    force_(solver::Vector::Zero(3 * elasticity_.n_nodes()))
{
  for (const solver::Cell &cell : elasticity_.cells())
  {
    for (int i = 0; i < 4; ++i)
      parameter_[cell[i]] = body_.parameter[cell[i]];
    for (int e = 0; e < 6; ++e)
      parameter_[cell[4 + e]] = 0.5 * (body_.parameter[cell[edges[e][0]]] + body_.parameter[cell[edges[e][1]]]);
  }
}

std::vector<std::size_t> Problem::nodes(const Where &where) const
{
  std::vector<std::size_t> result;
  for (std::size_t i = 0; i < parameter_.size(); ++i)
    if (where(parameter_[i]))
      result.push_back(i);
  return result;
}

std::size_t Problem::node(const Where &where) const
{
  const auto found = nodes(where);
  if (found.size() != 1)
    throw Error("check problem: " + std::to_string(found.size()) + " nodes where one was meant");
  return found[0];
}

void Problem::hold(const Where &where, const std::vector<int> &components)
{
  for (const std::size_t i : nodes(where))
    for (const int c : components)
      fixed_.push_back({i, c, 0.0});
}

void Problem::prescribe(const Where &where, const std::function<Vector3(const Vector3 &)> &displacement_mm)
{
  for (const std::size_t i : nodes(where))
    for (int c = 0; c < 3; ++c)
      fixed_.push_back({i, c, displacement_mm(elasticity_.nodes()[i])[c]});
}

void Problem::press(const Where &where, const std::function<Vector3(const Vector3 &, const Vector3 &)> &traction_mpa)
{
  std::vector<mesh::Triangle> faces;
  for (const mesh::BoundaryFace &face : mesh::boundary_faces(body_.mesh))
    if (const mesh::Triangle &t = face.triangle;
        where(body_.parameter[t[0]]) && where(body_.parameter[t[1]]) && where(body_.parameter[t[2]]))
      faces.push_back(t);
  if (faces.empty())
    throw Error("check problem: a load touches no face");
  elasticity_.add_traction(faces, traction_mpa, force_);
}

void Problem::load_line(const Where &where, const Vector3 &force_per_length)
{
  std::set<std::size_t> done;
  for (const solver::Cell &cell : elasticity_.cells())
    for (int e = 0; e < 6; ++e)
    {
      const unsigned a = cell[edges[e][0]], b = cell[edges[e][1]], middle = cell[4 + e];
      if (!where(parameter_[a]) || !where(parameter_[b]) || !where(parameter_[middle]) || !done.insert(middle).second)
        continue;
      const double length = (elasticity_.nodes()[a] - elasticity_.nodes()[b]).norm();
      // Quadratic shape functions along an edge integrate to 1/6, 4/6, 1/6.
      for (const auto &[node, weight] : {std::pair(a, 1.0 / 6), std::pair(middle, 4.0 / 6), std::pair(b, 1.0 / 6)})
        force_.segment<3>(3 * node) += weight * length * force_per_length;
    }
  if (done.empty())
    throw Error("check problem: a line load touches no edge");
}

void Problem::grow(const std::function<double(const Vector3 &)> &strain)
{
  std::vector<double> at_vertices;
  for (const Vector3 &x : body_.mesh.points)
    at_vertices.push_back(strain(x));
  elasticity_.set_free_strain(std::move(at_vertices));
  elasticity_.add_free_strain(force_);
}

void Problem::solve()
{
  // A node on two held faces is listed once.
  std::set<std::pair<std::size_t, int>> seen;
  std::vector<solver::Fixed>            unique;
  for (const solver::Fixed &f : fixed_)
    if (seen.insert({f.node, f.component}).second)
      unique.push_back(f);
  solver::SolveReport report;
  displacement_ = solver::solve(elasticity_, unique, force_, &report, &reaction_);
  if (!report.converged)
    throw Error("check problem: the linear solve did not converge");
}

Vector3 Problem::displacement_at(const Where &where) const { return displacement_.segment<3>(3 * node(where)); }

std::array<double, 6> Problem::stress_at(const Where &where, unsigned part) const
{
  const solver::RecoveredStress recovered = solver::recover_stress(elasticity_, displacement_);
  const std::size_t             wanted    = node(where);
  for (std::size_t i = 0; i < recovered.node.size(); ++i)
    if (recovered.node[i] == wanted && recovered.part[i] == part)
      return recovered.stress_mpa[i];
  throw Error("check problem: no stress of that part at the node");
}

CheckRow verified(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                  const std::string &unit, const std::string &source)
{
  return check_row(id, quantity, value, expected, tolerance, unit, 'V', true, source);
}

CheckRow reported(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                  const std::string &unit, const std::string &source)
{
  return check_row(id, quantity, value, expected, tolerance, unit, 'E', true, source);
}
} // namespace stifle::checks
