// C26: the moment at which a pre-loaded cut starts to open, two stiff blocks pressed together in the solver's own contact.
#include "mesh/block.h"
#include "scenarios/checks/check_model.h"
#include "scenarios/checks/solver_cases.h"
#include "solver/construct_model.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
constexpr double depth_mm = 25, width_mm = 10, half_height_mm = 10, edge_mm = 0.1;
constexpr double stiff_mpa = 1e8; // bends 1e-5 as much as the contact springs give way: rigid faces

mesh::ConstructMesh two_blocks()
{
  mesh::BlockOptions o;
  for (const double x : {0.0, edge_mm, 3.0, 8.0, 12.5, 17.0, 22.0, depth_mm - edge_mm, depth_mm})
    o.lines[0].push_back(x / depth_mm);
  o.cells = {{8, 2, 4}};
  o.cut_layer = 2;
  o.part = [](const Vector3 &) { return "cortex"; };
  o.map = [](const Vector3 &r)
  { return Vector3(depth_mm * (r.x() - 0.5), width_mm * (r.y() - 0.5), 2 * half_height_mm * r.z()); };
  mesh::ConstructMesh construct;
  construct.mesh = mesh::block_mesh(o);
  for (const auto &[from, to] : {std::pair<std::string, std::string>{"z0", "talar"}, {"z1", "plateau"}, {"z1", "outer_proximal"}, {"z0", "outer_distal"}})
    construct.mesh.surfaces.push_back({to, construct.mesh.find_surface(from)->triangles});
  return construct;
}

/// Whether the cut is open somewhere, pressed with the force through its middle and turned by the moment about y.
class Opening
{
public:
  Opening() : blocks_(two_blocks()), model_(blocks_, hock(), Levelling(), materials()) {}
  bool open(double force_n, double moment_nmm)
  {
    const PointForce load{"contact_medial", {0, 0, 2 * half_height_mm}, {0, 0, -force_n}, true, {0, moment_nmm, 0}};
    const ConstructState state = model_.solve({load}, solver::CutLaw());
    return !state.converged || state.cut.gap_opening_max_mm > 0;
  }
  double moment_nmm(double force_n)
  {
    double closed = 0, opened = force_n * depth_mm / 2; // there it tips over
    while (opened - closed > 1e-4 * opened)
    {
      const double middle = 0.5 * (closed + opened);
      (open(force_n, middle) ? opened : closed) = middle;
    }
    return 0.5 * (closed + opened);
  }

private:
  static Anatomy hock()
  {
    Anatomy anatomy{};
    anatomy.hock_centre = Vector3(0, 0, -10);
    return anatomy;
  }
  static solver::ConstructMaterials materials()
  {
    solver::ConstructMaterials m;
    m.cortex.modulus_mpa = stiff_mpa;
    m.cortex.poisson_ratio = 0.3;
    return m;
  }
  mesh::ConstructMesh blocks_;
  solver::ConstructModel model_;
};
} // namespace

std::vector<CheckRow> preload_opening()
{
  Opening blocks;
  std::vector<CheckRow> rows;
  for (const auto &[force, sd] : {std::pair{131.0, 39.0}, {296.0, 49.0}})
  {
    const double expected = force * depth_mm / 6;
    rows.push_back(reported("C26", fmt::format("moment that opens a cut pressed with {:g} N", force), blocks.moment_nmm(force), expected,
                            0.05 * expected, "N mm",
                            fmt::format("construct.md 1.20, M = F0 h/6, h 25; force +- {:g} N, S28 (abstract): the moment has the same "
                                        "spread",
                                        sd)));
  }
  return rows;
}
} // namespace stifle::checks
