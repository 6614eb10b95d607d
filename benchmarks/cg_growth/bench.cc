// bench_cg_growth FILE.mesh ... - conjugate gradients on the bonded demo construct: how iterations, time and memory grow
//   Each mesh in its own process. CSV: unknowns, coarse unknowns and so on, see the header line. Options: --direct compares with
//   CHOLMOD, --plain aggregates from the quadratic elements, --modes 3 takes translations only. Under mpirun: one system over all
#include "mesh/mesh_file.h"
#include "models/core/error.h"
#include "models/core/peak_memory.h"
#include "solver/cg_construct.h"
#include "solver/construct_model.h"
#include "solver/patch_load.h"
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
Vector without_rigid_motion(const Elasticity &e, const Patch &talar, Vector u)
{
  remove_mean_motion(e, talar, u);
  return u;
}

void run(const std::string &path, const CgOptions &options, bool direct)
{
  Scenario                  s;
  const Anatomy             anatomy   = make_anatomy(s);
  const Levelling           levelling = plan_levelling(s, anatomy, radians(6));
  const mesh::ConstructMesh construct = mesh::read_mesh(path);
  const ConstructMaterials  materials = with_own_threads(construct_materials(s), construct);
  const Vector3             middle    = levelling.moved(Vector3::Zero());
  const std::vector<PointForce> loads = {{"contact_medial", middle + Vector3(0, 10, 0), {-20, 5, -250}, true},
                                         {"contact_lateral", middle + Vector3(0, -10, 0), {-20, 0, -200}, true},
                                         {"patellar_tendon", anatomy.tendon_insertion, {60, 0, 220}, false}};
  const Elasticity e(construct.mesh, part_materials(construct.mesh, materials));
  const Patch      talar = make_patch(construct.mesh, support_of(construct.mesh));
  Vector           force = landmark_forces(e, loads);
  const Resultant  sum   = resultant_of(e, force, anatomy.hock_centre);
  add_resultant(e, talar, -sum.force_n, -sum.moment_nmm, anatomy.hock_centre, force);
  const CutFaces cut(e);
  CgConstruct    cg(e, cut, thread_faces(e, materials), {}, options);
  Vector         x;
  const Vector   f      = cg.reduce(force);
  const auto     report = cg.solver().solve(f, x);
  const double   mb     = peak_memory_mb();
  double         difference = -1;
  if (direct)
  {
    const Vector   u = without_rigid_motion(e, talar, cg.expand(x));
    ConstructModel model(construct, anatomy, levelling, construct_materials(s));
    CutLaw         bonded;
    bonded.bonded = true;
    model.solve(loads, bonded);
    difference = (u - model.displacement()).cwiseAbs().maxCoeff() / model.displacement().cwiseAbs().maxCoeff();
  }
  if (cg.solver().process() == 0)
    fmt::print("{},{},{:.2f},{:.2f},{:.2f},{},{:.1e},{:.0f},{}\n", path, cg.n_unknowns(), cg.assemble_seconds, cg.solver().setup_seconds,
               report.seconds, report.converged ? std::to_string(report.iterations) : "not in " + std::to_string(report.iterations),
               report.relative_residual, mb, difference < 0 ? "" : fmt::format("{:.1e}", difference));
  std::fflush(stdout);
}
} // namespace

int main(int argc, char **argv)
try
{
  CgOptions options;
  options.all_processes = std::getenv("OMPI_COMM_WORLD_SIZE") != nullptr;
  bool direct           = false;
  for (int i = 1; i < argc; ++i)
    if (!std::strcmp(argv[i], "--direct"))
      direct = true;
    else if (!std::strcmp(argv[i], "--plain"))
      options.linear_level = false;
    else if (!std::strcmp(argv[i], "--modes"))
      options.modes = std::atoi(argv[++i]);
    else if (!std::strcmp(argv[i], "--tolerance"))
      options.tolerance = std::atof(argv[++i]);
    else
      run(argv[i], options, direct);
}
catch (const Error &error)
{
  fmt::print(stderr, "{}\n", error.what());
  return 1;
}
