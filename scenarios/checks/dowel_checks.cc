// C12: a screw as a dowel: core 2.9 mm in a rigid block, springs between them, 100 N across its free end (construct.md 1.3)
//
//        P = 100 N        beam with shear on springs: EI psi' = M, S (w' - psi) = V, V' = k w, M' + V = k_t psi
//        v ___            S = kappa G A, kappa = 6 (1 + nu) / (7 + 6 nu) (round, Cowper; memory); k = 1500 N/mm per mm of length
//   ====|==================   x       w, psi ~ exp(-s x): S EI s^4 - (S k_t + k EI) s^2 + k (S + k_t) = 0
//       | block               at x = 0: V = -P, M = 0
//   k_t = 0: springs across only, the row of the sheet with shear: y0 0.020878 mm, M 207.47 N mm (without shear 0.020508, 209.61)
//   thread layer of the construct: the same stiffness per area c in all directions. Its pull along the core resists turning:
//   k = c 2 pi r, k_t = c r^2 pi r = k r^2 / 2. By hand (python): y0 0.020145 mm, M 196.14 N mm
//   body  a polygon of 16 sides with the second moment of area of the circle, 36 mm deep (exp(-s 36) < 0.01 of nothing: 5.5 / lambda)
//   M     from the element forces on one side of a section
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"
#include "solver/construct_system.h"
#include "solver/plastic_solve.h"
#include "solver/reference_element.h"
#include <algorithm>
#include <complex>

namespace stifle::checks
{
namespace
{
constexpr double core = 2.9, steel = 193e3, poisson = 0.3, foundation = 1500, push = 100, depth = 36;
constexpr int    sides = 16;

double outer_radius() // of the polygon with the circle's second moment: n r^4 sin(a) (2 + cos(a)) / 24, a = 2 pi / n
{
  const double a = 2 * pi / sides;
  return std::pow(pi * std::pow(core, 4) / 64 * 24 / (sides * std::sin(a) * (2 + std::cos(a))), 0.25);
}
double stiffness_per_area() { return foundation / (2 * sides * outer_radius() * std::sin(pi / sides)); }

std::vector<double> levels()
{
  std::vector<double> z = steps(0, 8, 20);
  for (const double more : {8.75, 9.5, 10.5, 12., 14., 16., 19., 22., 26., 31., depth})
    z.push_back(more);
  return z;
}
bool on_core(const Vector3 &p) { return std::abs(p[0] - 1) < 1e-9; }

/// Rings about the axis; part 0 the core, part 1 the block. Parameters: radius (1 at the rim of the core), turn, depth.
Body dowel_body(bool with_block)
{
  const auto grid = [](double a, double b, int n) {
    return [=](int i, int j) {
      const double r = a + (b - a) * i / n, turn = 2 * pi * j / sides;
      return Vector2(r * std::cos(turn), r * std::sin(turn));
    };
  };
  Section section;
  section.add_grid(3, sides, grid(0, 1, 3), 0);
  if (with_block)
    section.add_grid(1, sides, grid(1, 1.8, 1), 1);
  Body body = extrude(section, levels(), [](const Vector3 &p) { return Vector3(p[0] * outer_radius(), p[1] * outer_radius(), p[2]); },
                      {"screw_1", "cortex_distal"});
  for (Vector3 &p : body.parameter)
    p = {p.head<2>().norm(), std::atan2(p[1], p[0]), p[2]};
  return body;
}

/// Faces of the core on its polygon.
std::vector<mesh::Triangle> rim_faces(const Body &body, unsigned part)
{
  std::vector<mesh::Triangle> faces;
  for (const mesh::BoundaryFace &face : mesh::boundary_faces(body.mesh))
    if (const auto &t = face.triangle; body.mesh.part[face.tetrahedron] == part && on_core(body.parameter[t[0]]) &&
                                       on_core(body.parameter[t[1]]) && on_core(body.parameter[t[2]]))
      faces.push_back(t);
  return faces;
}

/// Gives the block nodes of its own at the core and pairs the faces, as mesh/split_mesh does for threads.
void split(Body &body)
{
  const std::size_t          shared = body.mesh.points.size();
  std::vector<unsigned> twin(shared);
  for (std::size_t i = 0; i < shared; ++i)
  {
    twin[i] = static_cast<unsigned>(i);
    if (!on_core(body.parameter[i]))
      continue;
    twin[i] = static_cast<unsigned>(body.mesh.points.size());
    body.mesh.points.push_back(body.mesh.points[i]);
    body.parameter.push_back(body.parameter[i]);
  }
  for (std::size_t t = 0; t < body.mesh.tetrahedra.size(); ++t)
    if (body.mesh.part[t] == 1)
      for (unsigned &v : body.mesh.tetrahedra[t])
        v = twin[v];
  body.mesh.component = {2, 1};
  for (const mesh::Triangle &t : rim_faces(body, 0))
    body.mesh.threads.push_back({t, {twin[t[0]], twin[t[1]], twin[t[2]]}, 0, 1});
}

/// P over the free end of the core, along x.
solver::Vector end_load(const solver::Elasticity &e, const Body &body)
{
  std::vector<mesh::Triangle> faces;
  double                      area = 0;
  for (const mesh::BoundaryFace &face : mesh::boundary_faces(body.mesh))
    if (const auto &t = face.triangle;
        body.mesh.part[face.tetrahedron] == 0 && std::all_of(t.begin(), t.end(), [&](unsigned v) { return same(body.parameter[v][2], 0); }))
    {
      faces.push_back(t);
      const auto &x = body.mesh.points;
      area += 0.5 * (x[t[1]] - x[t[0]]).cross(x[t[2]] - x[t[0]]).norm();
    }
  solver::Vector force = solver::Vector::Zero(3 * e.n_nodes());
  e.add_traction(faces, [=](const Vector3 &, const Vector3 &) { return Vector3(push / area, 0, 0); }, force);
  return force;
}

/// Largest moment about y over the sections: forces that the core above a section puts on the nodes of the section.
double largest_moment(const solver::Elasticity &e, const Body &body, const solver::Vector &u)
{
  const std::vector<double> z = levels();
  std::vector<double>       moment(z.size(), 0);
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    if (body.mesh.part[c] != 0)
      continue;
    Eigen::Matrix<double, 30, 1> own;
    double                       deep = 0;
    for (int i = 0; i < 10; ++i)
    {
      own.segment<3>(3 * i) = u.segment<3>(3 * e.cells()[c][i]);
      deep                  = std::max(deep, e.nodes()[e.cells()[c][i]].z());
    }
    const Eigen::Matrix<double, 30, 1> force = e.element_stiffness(c) * own;
    const std::size_t level = std::lower_bound(z.begin(), z.end(), deep - 1e-9) - z.begin(); // the section below it
    for (int i = 0; i < 10; ++i)
      if (same(e.nodes()[e.cells()[c][i]].z(), z[level]))
        moment[level] += force(3 * i + 2) * e.nodes()[e.cells()[c][i]].x();
  }
  double largest = 0;
  for (const double m : moment)
    largest = std::max(largest, std::abs(m));
  return largest;
}

/// Springs across the core only, to a block that does not move.
Dowel across_only()
{
  const Body                 body = dowel_body(false);
  const solver::Elasticity   e(body.mesh, {{steel, poisson}, {steel, poisson}});
  const solver::PlasticMaterial elastic{steel, poisson}; // without yield
  solver::PlasticProblem     problem{e, {elastic, elastic}, {}, end_load(e, body), {}, nullptr, {}};
  for (const mesh::Triangle &t : rim_faces(body, 0))
  {
    const auto           nodes = e.face_nodes(t);
    const auto          &x     = e.nodes();
    const double         k     = stiffness_per_area() * 0.5 * (x[t[1]] - x[t[0]]).cross(x[t[2]] - x[t[0]]).norm();
    solver::LinearSpring spring{{nodes.begin(), nodes.end()}, Eigen::MatrixXd::Zero(18, 18)};
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j < 6; ++j)
        for (int c = 0; c < 2; ++c)
          spring.stiffness(3 * i + c, 3 * j + c) = k * solver::reference_element().face_mass(i, j);
    problem.springs.push_back(spring);
  }
  // Nothing holds the core along its axis: the middle of its far end does, without force.
  for (std::size_t i = 0; i < body.parameter.size(); ++i)
    if (body.parameter[i][0] < 1e-9 && same(body.parameter[i][2], depth))
      problem.fixed.push_back({i, 2, 0});
  const solver::PlasticResult result = solver::solve_plastic(problem, {});
  return {problem.force.dot(result.displacement) / push, largest_moment(e, body, result.displacement)};
}

/// The thread layer of the construct; block of 1e9 MPa, thread as deep as the stiffness per area asks for.
Dowel thread_layer()
{
  Body body = dowel_body(true);
  split(body);
  const double                                 rigid = 1e9;
  const std::vector<solver::IsotropicMaterial> parts = {{steel, poisson}, {rigid, poisson}};
  const solver::Elasticity                     e(body.mesh, parts);
  const solver::CutFaces                       no_cut;
  const solver::PlainHeads                     no_heads;
  solver::ConstructMaterials                   materials;
  materials.thread_depth_mm = rigid / stiffness_per_area();
  const solver::ConstructSystem system(e, no_cut, no_heads, materials, parts);
  const solver::Vector          load = end_load(e, body), u = system.expand(system.condense(load), solver::Vector());
  return {load.dot(u) / push, largest_moment(e, body, u)};
}

/// End displacement and largest moment of the beam, closed form at the head.
Dowel beam(double turning_spring)
{
  using Complex = std::complex<double>;
  const double ei = steel * pi * std::pow(core, 4) / 64, k = foundation, kt = turning_spring;
  const double s_area = 6 * (1 + poisson) / (7 + 6 * poisson) * steel / (2 * (1 + poisson)) * pi * core * core / 4;
  const double a = s_area * ei, b = -(s_area * kt + k * ei), c = k * (s_area + kt);
  const Complex root = std::sqrt(Complex(b * b - 4 * a * c));
  const std::array<Complex, 2> s = {std::sqrt((-b + root) / (2 * a)), std::sqrt((-b - root) / (2 * a))}; // decay, real part > 0
  std::array<Complex, 2> turn, shear, moment;
  for (int i = 0; i < 2; ++i)
  {
    turn[i]   = (s_area * s[i] * s[i] - k) / (-s_area * s[i]); // psi of w = exp(-s x)
    shear[i]  = s_area * (-s[i] - turn[i]);
    moment[i] = -ei * turn[i] * s[i];
  }
  const Complex det = shear[0] * moment[1] - shear[1] * moment[0];
  const std::array<Complex, 2> share = {-push * moment[1] / det, push * moment[0] / det};
  Dowel result{(share[0] + share[1]).real(), 0};
  for (double x = 0; x < 15; x += 0.01)
    result.moment_nmm = std::max(
      result.moment_nmm, std::abs((share[0] * moment[0] * std::exp(-s[0] * x) + share[1] * moment[1] * std::exp(-s[1] * x)).real()));
  return result;
}
} // namespace

std::vector<CheckRow> screw_as_dowel()
{
  const double      turning = foundation * core * core / 8; // k r^2 / 2
  const Dowel       plain = beam(0), threaded = beam(turning), across = across_only(), thread = thread_layer();
  const std::string sheet = "closed form, construct.md 1.3 with shear (issue 6: 0.02088 mm, 207.5 N mm)";
  const std::string own   = "closed form at the head of dowel_checks.cc (derived): springs along the core too, as the thread layer has them";
  return {verified("C12", "beam on springs with shear, end displacement", plain.end_mm, 0.02088, 5e-6, "mm", sheet),
          verified("C12", "beam on springs with shear, largest moment", plain.moment_nmm, 207.5, 0.05, "N mm", sheet),
          verified("C12", "solid, springs across only: end displacement", across.end_mm, 0.02088, 0.01 * 0.02088, "mm", sheet),
          verified("C12", "solid, springs across only: largest moment", across.moment_nmm, 207.5, 0.01 * 207.5, "N mm", sheet),
          verified("C12", "solid in the thread layer: end displacement", thread.end_mm, threaded.end_mm, 0.01 * threaded.end_mm, "mm", own),
          verified("C12", "solid in the thread layer: largest moment", thread.moment_nmm, threaded.moment_nmm, 0.01 * threaded.moment_nmm,
                   "N mm", own)};
}
} // namespace stifle::checks
