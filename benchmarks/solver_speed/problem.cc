#include "benchmarks/solver_speed/problem.h"
#include "models/core/error.h"
#include "solver/calculix.h"
#include "solver/support_springs.h"
#include <fmt/format.h>
#include <fstream>

namespace stifle::bench
{
namespace
{
template <class T> void write_array(const std::string &path, const std::vector<T> &data)
{
  std::ofstream file(path, std::ios::binary);
  file.write(reinterpret_cast<const char *>(data.data()), static_cast<std::streamsize>(data.size() * sizeof(T)));
  if (!file.flush())
    throw Error("cannot write " + path);
}

/// Kept nodes in rising order.
std::vector<std::size_t> points_of(const solver::Elasticity &e)
{
  const std::vector<unsigned> same = solver::merged_nodes(e);
  std::vector<std::size_t>    points;
  for (std::size_t i = 0; i < same.size(); ++i)
    if (same[i] == i)
      points.push_back(i);
  return points;
}

/// Forces of all nodes of a point, on its kept node.
solver::Vector gathered(const solver::Elasticity &e, const solver::Vector &nodal)
{
  const std::vector<unsigned> same = solver::merged_nodes(e);
  solver::Vector              sum  = solver::Vector::Zero(nodal.size());
  for (std::size_t i = 0; i < same.size(); ++i)
    sum.segment<3>(3 * same[i]) += nodal.segment<3>(3 * i);
  return sum;
}

void write_mesh_arrays(const solver::Elasticity &e, const std::string &folder)
{
  const mesh::TetMesh        &mesh = e.mesh();
  const std::vector<unsigned> same = solver::merged_nodes(e);
  std::vector<long>           number(mesh.points.size(), -1);
  std::vector<double>         vertices, modulus, poisson;
  std::vector<std::int64_t>   tetrahedra;
  for (std::size_t v = 0; v < mesh.points.size(); ++v) // vertices come first among the nodes
    if (same[v] == v)
    {
      number[v] = static_cast<long>(vertices.size() / 3);
      vertices.insert(vertices.end(), mesh.points[v].data(), mesh.points[v].data() + 3);
    }
  for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
  {
    for (const unsigned v : mesh.tetrahedra[t])
      tetrahedra.push_back(number[same[v]]);
    modulus.push_back(e.material(t).modulus_mpa);
    poisson.push_back(e.material(t).poisson_ratio);
  }
  write_array(folder + "/vertices.f64", vertices);
  write_array(folder + "/tetrahedra.i64", tetrahedra);
  write_array(folder + "/modulus.f64", modulus);
  write_array(folder + "/poisson.f64", poisson);
}
} // namespace

Case demo_case()
{
  Case c;
  c.levelling = plan_levelling(c.scenario, c.anatomy, radians(6));
  return c;
}

solver::ConstructMaterials materials(const Case &c, bool bonded_threads)
{
  solver::ConstructMaterials m = solver::construct_materials(c.scenario);
  m.bonded_threads             = bonded_threads;
  return m;
}

solver::CutLaw week_law(const Case &c, double week) { return solver::cut_law(c.scenario, week); }

std::vector<PointForce> loads(const Case &c, const std::string &name, double percent)
{
  for (const Activity &activity : default_activities())
    if (activity.name == name)
    {
      const JointState joint =
        solve_instant(c.scenario, operate(c.anatomy, c.levelling), LigamentState::torn, LoadSet::stance, &activity, percent);
      if (!joint.converged)
        throw Error("the joint did not converge: " + name);
      return joint.on_tibia;
    }
  throw Error("no activity " + name);
}

std::vector<PointForce> scaled(std::vector<PointForce> loads, double factor)
{
  for (PointForce &load : loads)
  {
    load.force_n *= factor;
    load.moment_nmm *= factor;
  }
  return loads;
}

std::vector<solver::LoadStep> stances(const Case &c)
{
  std::vector<solver::LoadStep> block;
  for (const std::string activity : {"walk", "trot"})
    for (const double factor : {1.0, 1.3})
      for (const double percent : {25.0, 50.0, 75.0})
        block.push_back({scaled(loads(c, activity, percent), factor), percent == 25 ? -1 : static_cast<int>(block.size()) - 1});
  return block;
}

double write_problem(const Case &, const solver::ConstructModel &model, const std::string &folder)
{
  const solver::Elasticity &e     = model.elasticity();
  const solver::Vector      force = gathered(e, model.nodal_force());
  write_mesh_arrays(e, folder);
  std::vector<double> places;
  std::vector<long>   point_of(e.n_nodes(), -1);
  for (const std::size_t node : points_of(e))
  {
    point_of[node] = static_cast<long>(places.size() / 3);
    places.insert(places.end(), e.nodes()[node].data(), e.nodes()[node].data() + 3);
  }
  write_array(folder + "/points.f64", places);
  write_at_points(e, force, folder + "/force.f64");
  write_at_points(e, model.displacement(), folder + "/ours.f64");
  const std::vector<unsigned> same = solver::merged_nodes(e);
  std::string                 pins;
  for (const solver::NodeSpring &pin : solver::rigid_pins(e.mesh()))
  {
    const Matrix3 k = 1e5 * pin.stiffness;
    pins += fmt::format("{}[{},[{},{},{},{},{},{},{},{},{}]]", pins.empty() ? "" : ",", point_of[same[pin.node]], k(0, 0), k(0, 1), k(0, 2),
                        k(1, 0), k(1, 1), k(1, 2), k(2, 0), k(2, 1), k(2, 2));
  }
  std::ofstream(folder + "/problem.json") << "{\"pins\":[" << pins << "]}\n";
  solver::Vector internal = solver::Vector::Zero(force.size());
  e.add_internal_force(model.displacement(), internal);
  return (gathered(e, internal) - force).norm() / force.norm();
}

solver::Vector read_force(const solver::Elasticity &e, const std::string &folder)
{
  const std::vector<std::size_t> points = points_of(e);
  std::vector<double>            data(3 * points.size());
  std::ifstream                  file(folder + "/force.f64", std::ios::binary);
  if (!file.read(reinterpret_cast<char *>(data.data()), static_cast<std::streamsize>(data.size() * sizeof(double))))
    throw Error("cannot read " + folder + "/force.f64: run `ours` first");
  solver::Vector nodal = solver::Vector::Zero(3 * e.n_nodes());
  for (std::size_t i = 0; i < points.size(); ++i)
    nodal.segment<3>(3 * points[i]) = Vector3(data[3 * i], data[3 * i + 1], data[3 * i + 2]);
  return nodal;
}

void write_at_points(const solver::Elasticity &e, const solver::Vector &field, const std::string &file)
{
  std::vector<double> data;
  for (const std::size_t node : points_of(e))
    data.insert(data.end(), field.data() + 3 * node, field.data() + 3 * node + 3);
  write_array(file, data);
}
} // namespace stifle::bench
