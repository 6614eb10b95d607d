// bench_solver_speed [bone_size_mm detail_size_mm] ... - time and memory of the construct at several mesh sizes, against CalculiX
//   Each size runs in its own process, so that its peak memory (VmHWM) is its own. Prints CSV: program, tetrahedra, dofs,
//   phase, seconds, peak_mb; then the ratios CalculiX / stifle of the bonded job from mesh to first state.
//   Load: large dog, 30 kg, levelled to 6 degrees, walk at 50 % of stance.
#include "models/core/error.h"
#include "solver/calculix.h"
#include "solver/construct_model.h"
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <sys/wait.h>
#include <unistd.h>

using namespace stifle;
using Clock = std::chrono::steady_clock;

namespace
{
double peak_mb()
{
  std::ifstream status("/proc/self/status");
  for (std::string word; status >> word;)
    if (double kb = 0; word == "VmHWM:" && status >> kb)
      return kb / 1024;
  return 0;
}

template <class Work> double seconds_of(const Work &work)
{
  const auto start = Clock::now();
  work();
  return std::chrono::duration<double>(Clock::now() - start).count();
}

solver::ConstructMaterials materials(const Scenario &scenario, bool bonded)
{
  solver::ConstructMaterials m = solver::construct_materials(scenario);
  m.bonded_threads             = bonded;
  return m;
}

struct Case
{
  Scenario            scenario;
  Anatomy             anatomy = make_anatomy(scenario);
  Levelling           levelling;
  mesh::ConstructMesh construct;
  std::vector<PointForce> walk, trot;
};

std::vector<PointForce> loads(const Case &c, const std::string &name)
{
  for (const Activity &activity : default_activities())
    if (activity.name == name)
    {
      const JointState joint = solve_instant(c.scenario, operate(c.anatomy, c.levelling), LigamentState::torn, LoadSet::stance, &activity, 50);
      if (!joint.converged)
        throw Error("the joint did not converge: " + name);
      return joint.on_tibia;
    }
  throw Error("no activity " + name);
}

void print(const Case &c, std::size_t dofs, const char *program, const std::string &phase, double seconds, double megabytes)
{
  fmt::print("{},{},{},{},{:.3f},{:.{}f}\n", program, c.construct.mesh.tetrahedra.size(), dofs, phase, seconds, megabytes,
             megabytes < 100 ? 2 : 0);
  std::fflush(stdout);
}

/// Threads as springs, cut in contact: what `stifle run` does.
void contact_job(const Case &c)
{
  solver::ConstructModel model(c.construct, c.anatomy, c.levelling, materials(c.scenario, false));
  for (const auto &timing : model.timing())
    print(c, model.n_dofs(), "stifle", timing.name, timing.seconds, peak_mb());
  solver::CutLaw tied, contact;
  tied.bonded = true;
  const auto state = [&](const char *phase, const std::vector<PointForce> &forces, const solver::CutLaw &law) {
    bool         converged = false;
    const double seconds   = seconds_of([&] { converged = model.solve(forces, law).converged; });
    print(c, model.n_dofs(), "stifle", converged ? phase : std::string(phase) + " (did not converge)", seconds, peak_mb());
  };
  state("first state tied", c.walk, tied);
  state("next state tied", c.trot, tied);
  state("first state contact", c.walk, contact);
  state("next state contact", c.trot, contact);
}

/// Cut and threads bonded: the job that CalculiX gets too. Returns nodal loads on the elements.
void bonded_job(const Case &c, const std::string &folder)
{
  std::unique_ptr<solver::ConstructModel> model;
  solver::CutLaw                          tied;
  tied.bonded          = true;
  const double seconds = seconds_of([&] {
    model = std::make_unique<solver::ConstructModel>(c.construct, c.anatomy, c.levelling, materials(c.scenario, true));
    model->solve(c.walk, tied);
  });
  const double own_mb = peak_mb();
  print(c, model->n_dofs(), "stifle", "whole bonded job", seconds, own_mb);
  // The factor goes first: the memory of a forked process counts from that of its parent.
  const solver::Vector force = model->nodal_force();
  const std::size_t    dofs  = model->n_dofs();
  model.reset();
  const solver::Elasticity     elasticity(c.construct.mesh, solver::part_materials(c.construct.mesh, materials(c.scenario, true)));
  const solver::CalculixResult ccx = solver::run_calculix(elasticity, force, folder, 2);
  print(c, dofs, "calculix", "whole bonded job", ccx.seconds, ccx.peak_mb);
  print(c, dofs, "ratio", "calculix / stifle", ccx.seconds / seconds, ccx.peak_mb / own_mb);
}

void run(double bone_size_mm, double detail_size_mm)
{
  Case c;
  c.scenario.mesh      = {bone_size_mm, detail_size_mm};
  c.levelling          = plan_levelling(c.scenario, c.anatomy, radians(6));
  c.walk               = loads(c, "walk");
  c.trot               = loads(c, "trot");
  const double meshing = seconds_of([&] { c.construct = mesh::mesh_construct(c.scenario, c.anatomy, c.levelling); });
  print(c, 0, "stifle", "mesh", meshing, peak_mb());
  const std::string folder = fmt::format("{}/stifle_speed_{}", std::filesystem::temp_directory_path().string(), getpid());
  std::filesystem::create_directories(folder);
  bonded_job(c, folder); // first, so that its peak memory is its own
  contact_job(c);
  std::filesystem::remove_all(folder);
}
} // namespace

int main(int argc, char **argv)
{
  std::vector<std::pair<double, double>> sizes = {{4, 0.9}, {3, 0.6}, {2.6, 0.5}};
  if (argc > 2)
    sizes.clear();
  for (int i = 1; i + 1 < argc; i += 2)
    sizes.push_back({std::atof(argv[i]), std::atof(argv[i + 1])});
  fmt::print("program,tetrahedra,dofs,phase,seconds,peak_mb\n");
  std::fflush(stdout);
  int failures = 0;
  for (const auto &[bone, detail] : sizes)
  {
    const pid_t child = fork();
    if (child == 0)
    {
      try
      {
        run(bone, detail);
        _exit(0);
      }
      catch (const std::exception &error)
      {
        fmt::print(stderr, "bone size {}: {}\n", bone, error.what());
        _exit(1);
      }
    }
    int status = 0;
    waitpid(child, &status, 0);
    failures += status != 0;
  }
  return failures == 0 ? 0 : 1;
}
