// scenarios/checks/check_model.h - bodies with a known answer: extruded triangulations and a small boundary value problem on them
//   body     a plane section of triangles (u, v) swept over levels w; each prism is split in three tetrahedra, the diagonal of a
//            side face always starts at the vertex of lower number, so neighbours agree. A map takes (u, v, w) to mm.
//   where    regions are chosen by the parameters (u, v, w), not by place: exact on curved bodies. A mid-edge node has the
//            mean parameters of its ends.
//   limits   straight edges: a curved body is a polyhedron whose vertices lie on the true surface
#pragma once
#include "scenarios/checks/check.h"
#include "solver/elasticity.h"

namespace stifle::checks
{
using Vector2 = Eigen::Vector2d;
using Where   = std::function<bool(const Vector3 &parameter)>;
using Map     = std::function<Vector3(const Vector3 &parameter)>;

struct Section
{
  std::vector<Vector2>                 points;
  std::vector<std::array<unsigned, 3>> triangles;
  std::vector<unsigned>                part; ///< per triangle

  /// Adds n_u x n_v quadrilaterals with corners place(i, j), each cut in two; points closer than 1e-7 become one.
  void add_grid(int n_u, int n_v, const std::function<Vector2(int, int)> &place, unsigned part_number = 0);
};
/// Rectangle with the given grid lines.
Section rectangle(const std::vector<double> &u, const std::vector<double> &v);
/// n equal steps from a to b.
std::vector<double> steps(double a, double b, int n);

struct Body
{
  mesh::TetMesh        mesh;
  std::vector<Vector3> parameter; ///< per vertex
};
Body extrude(const Section &section, const std::vector<double> &levels, const Map &map, const std::vector<std::string> &parts = {"body"});
/// Block of a mapped box: `extrude` of a rectangle.
Body block(const std::vector<double> &u, const std::vector<double> &v, const std::vector<double> &w, const Map &map);
/// Turns each tetrahedron to positive volume; Error when one is flat.
void orient(mesh::TetMesh &mesh);
bool same(double a, double b); ///< equal to 1e-9

/// Loads and supports on one body. The body lives inside and does not move.
class Problem
{
public:
  Problem(Body body, std::vector<solver::IsotropicMaterial> materials);
  Problem(const Problem &) = delete;

  void hold(const Where &where, const std::vector<int> &components);
  void prescribe(const Where &where, const std::function<Vector3(const Vector3 &)> &displacement_mm);
  /// Traction (MPa) on the boundary faces whose corners all lie there; Error when there is none.
  void press(const Where &where, const std::function<Vector3(const Vector3 &, const Vector3 &)> &traction_mpa);
  /// Consistent forces of a uniform line load (N/mm) on the element edges whose ends both lie there.
  void load_line(const Where &where, const Vector3 &force_per_length);
  /// Free strain (thermal, equal in all directions) of every vertex; call once.
  void grow(const std::function<double(const Vector3 &)> &strain);
  /// Error when the solver reports no convergence.
  void solve();

  const solver::Elasticity  &elasticity() const { return elasticity_; }
  const solver::Vector      &force() const { return force_; }
  const solver::Vector      &displacement() const { return displacement_; }
  const solver::Vector      &reaction() const { return reaction_; }
  const std::vector<Vector3> &parameter() const { return parameter_; } ///< per node
  std::vector<std::size_t>   nodes(const Where &where) const;
  std::size_t                node(const Where &where) const; ///< the only one; Error otherwise
  Vector3                    displacement_at(const Where &where) const;
  /// Work of the loads: for a unit load the displacement that belongs to it.
  double                     work() const { return force_.dot(displacement_); }
  /// Stress recovered in `part` at the only node there.
  std::array<double, 6>      stress_at(const Where &where, unsigned part = 0) const;

private:
  Body                       body_;
  solver::Elasticity         elasticity_;
  std::vector<Vector3>       parameter_;
  std::vector<solver::Fixed> fixed_;
  solver::Vector             force_, displacement_, reaction_;
};

/// A row; tolerance absolute.
CheckRow verified(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                  const std::string &unit, const std::string &source);
CheckRow reported(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                  const std::string &unit, const std::string &source);
} // namespace stifle::checks
