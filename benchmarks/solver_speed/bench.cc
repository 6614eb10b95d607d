// bench_solver_speed mesh|ours|cg|calculix FOLDER ... - one run of one program on one mesh of the demo construct; run.py drives it
//   mesh BONE_MM DETAIL_MM   meshes into FOLDER/mesh
//   ours [THREADS]           reads it (two threads when left out); bonded job from assembly to stress (displacement to
//                            FOLDER/ours.f64, the problem for the others beside it), then the model of `stifle run` with contact:
//                            further states and 72 of them
//   cg                       the model of `stifle run` by conjugate gradients: cut bonded, then in contact (displacement of the first
//                            states to FOLDER/cg_bonded.f64 and cg_contact.f64; those of `ours` to model_bonded.f64, model_contact.f64)
//   calculix                 the bonded job by ccx with two threads, displacement to FOLDER/calculix.f64
//   prints  one JSON object a line: program, tetrahedra, dofs, phase, wall (seconds), peak_mb (VmHWM so far), and where they exist
//           user (seconds; not of a part that another thread may share), iterations, residual
//   load    large dog, 30 kg, levelled to 6 degrees; bonded job: walk at 50 % of stance
#include "benchmarks/solver_speed/problem.h"
#include "mesh/mesh_file.h"
#include "models/core/error.h"
#include "models/core/peak_memory.h"
#include "solver/calculix.h"
#include <chrono>
#include <cstdio>
#include <fmt/format.h>
#include <optional>
#include <sys/resource.h>

using namespace stifle;
using namespace stifle::bench;

namespace
{
double user_seconds(int who)
{
  rusage usage{};
  getrusage(who, &usage);
  return static_cast<double>(usage.ru_utime.tv_sec) + 1e-6 * static_cast<double>(usage.ru_utime.tv_usec);
}

struct Cost
{
  double                wall = 0;
  std::optional<double> user;
};

template <class Work> Cost cost_of(const Work &work, int who = RUSAGE_SELF)
{
  const double user  = user_seconds(who);
  const auto   start = std::chrono::steady_clock::now();
  work();
  return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), user_seconds(who) - user};
}

void print(const Case &c, std::size_t dofs, const std::string &program, const std::string &phase, const Cost &cost, double megabytes,
           const std::string &more = "")
{
  const std::string user = cost.user ? fmt::format(",\"user\":{:.3f}", *cost.user) : "";
  fmt::print(R"({{"program":"{}","tetrahedra":{},"dofs":{},"phase":"{}","wall":{:.4f}{},"peak_mb":{:.1f}{}}})" "\n", program,
             c.construct.mesh.tetrahedra.size(), dofs, phase, cost.wall, user, megabytes, more);
  std::fflush(stdout);
}

/// Cut and threads bonded: the job that the others get too.
void bonded_job(const Case &c, const std::string &folder, int threads)
{
  std::unique_ptr<solver::ConstructModel> model;
  solver::CutLaw                          tied;
  tied.bonded = true;
  const auto factor = cost_of([&] {
    model = std::make_unique<solver::ConstructModel>(c.construct, c.anatomy, c.levelling, materials(c, true), solver::SolverKind::direct, threads);
  });
  const std::size_t dofs = model->n_dofs();
  const auto own = [&](const std::string &phase, const Cost &cost, const std::string &more = "") {
    print(c, dofs, "stifle", "bonded: " + phase, cost, peak_memory_mb(), more);
  };
  for (const auto &timing : model->timing())
    own(timing.name, {timing.seconds, {}});
  const std::vector<PointForce> walk = loads(c, "walk", 50), trot = loads(c, "trot", 50);
  const auto first = cost_of([&] { model->solve(walk, tied); });
  own("first state with stress", first);
  const double residual = write_problem(c, *model, folder);
  own("assembly to first state", {factor.wall + first.wall, *factor.user + *first.user}, fmt::format(",\"residual\":{:.2e}", residual));
  own("next state with stress", cost_of([&] { model->solve(trot, tied); }));
  // Displacements only: 32 new loads in one block.
  std::vector<solver::LoadStep> block;
  for (int i = 0; i < 32; ++i)
    block.push_back({scaled(trot, 0.5 + 0.01 * i), -1});
  const auto before = model->state_timing();
  model->solve_block(block, tied);
  double linear = 0;
  for (std::size_t k = 0; k + 1 < before.size(); ++k) // all but stress
    linear += model->state_timing()[k].seconds - before[k].seconds;
  own("next displacement in a block of 32", {linear / 32, {}});
}

/// Threads as springs, cut in contact: what `stifle run` does.
struct ContactModel
{
  const Case                             &c;
  const std::string                       phase; ///< first word of every phase
  int                                     threads;
  std::unique_ptr<solver::ConstructModel> model;

  void print(const std::string &what, const Cost &cost, const std::string &more = "") const
  {
    ::print(c, model->n_dofs(), "stifle", phase + ": " + what, cost, peak_memory_mb(), more);
  }
  void make(solver::SolverKind kind)
  {
    print("assembly to factor", cost_of([&] {
            model = std::make_unique<solver::ConstructModel>(c.construct, c.anatomy, c.levelling, materials(c, false), kind, threads);
          }));
  }
  void state(const std::string &what, const std::vector<PointForce> &forces, const solver::CutLaw &law) const
  {
    ConstructState result;
    const Cost     cost = cost_of([&] { result = model->solve(forces, law); });
    print(what + (result.converged ? "" : " (did not converge)"), cost,
          fmt::format(",\"iterations\":{},\"residual\":{:.2e}", result.contact_iterations, result.contact_residual));
  }
  /// `name`: of the files of displacements.
  void first_states(const std::string &name) const
  {
    const std::vector<PointForce> walk = loads(c, "walk", 50), trot = loads(c, "trot", 50);
    state("first state with stress", walk, week_law(c, 0));
    write_at_points(model->elasticity(), model->displacement(), name + "_contact.f64");
    state("next state with stress", trot, week_law(c, 0));
  }
  void bonded_state(const std::string &name) const
  {
    solver::CutLaw tied;
    tied.bonded = true;
    state("cut bonded, with stress", loads(c, "walk", 50), tied);
    write_at_points(model->elasticity(), model->displacement(), name + "_bonded.f64");
  }
};

void contact_job(const Case &c, const std::string &folder, int threads)
{
  ContactModel job{c, "contact", threads, nullptr};
  job.make(solver::SolverKind::direct);
  job.first_states(folder + "/model");
  const auto &model = job.model;
  const std::vector<solver::LoadStep> block = stances(c);
  int  iterations = 0, states = 0;
  bool converged  = true;
  const auto weeks = [&] {
    for (const double week : {0.0, 2.0, 4.0, 6.0, 8.0, 10.0}) // peaks are learnt in the first
    {
      const auto where = week == 0 ? solver::StressAt::learn : solver::StressAt::candidates;
      for (const ConstructState &s : model->solve_block(block, week_law(c, week), {threads, where}))
      {
        converged = converged && s.converged;
        iterations += s.contact_iterations;
        ++states;
      }
    }
  };
  const auto before = model->state_timing();
  const Cost all    = cost_of(weeks);
  job.print(fmt::format("{} states with friction and stress, {} threads{}", states, threads, converged ? "" : " (not all converged)"), all,
            fmt::format(",\"iterations\":{},\"moved\":{}", iterations, model->n_moved()));
  for (std::size_t k = 0; k < before.size(); ++k)
  {
    const double seconds = model->state_timing()[k].seconds - before[k].seconds;
    job.print(fmt::format("{} states: {}", states, before[k].name), {seconds, {}});
  }
  job.bonded_state(folder + "/model");
}

void cg_job(const Case &c, const std::string &folder)
{
  ContactModel job{c, "cg", 1, nullptr};
  job.make(solver::SolverKind::cg);
  job.bonded_state(folder + "/cg");
  job.first_states(folder + "/cg");
}

void calculix_job(const Case &c, const std::string &folder)
{
  const solver::Elasticity elasticity(c.construct.mesh, solver::part_materials(c.construct.mesh, materials(c, true)));
  solver::CalculixResult   ccx;
  const Cost cost = cost_of([&] { ccx = solver::run_calculix(elasticity, read_force(elasticity, folder), folder, 2); }, RUSAGE_CHILDREN);
  print(c, 3 * elasticity.n_nodes(), "calculix", "whole job", {ccx.seconds, cost.user}, ccx.peak_mb);
  write_at_points(elasticity, ccx.displacement, folder + "/calculix.f64");
}

int run(const std::vector<std::string> &words)
{
  const std::string &what = words.at(0), &folder = words.at(1);
  Case c = demo_case();
  if (what == "mesh")
  {
    c.scenario.mesh = {std::stod(words.at(2)), std::stod(words.at(3))};
    print(c, 0, "stifle", "mesh", cost_of([&] { c.construct = mesh::mesh_construct(c.scenario, c.anatomy, c.levelling); }), peak_memory_mb());
    mesh::write_mesh(c.construct, folder + "/mesh");
    return 0;
  }
  const Cost read = cost_of([&] { c.construct = mesh::read_mesh(folder + "/mesh"); });
  if (what == "ours")
  {
    print(c, 0, "stifle", "read", read, peak_memory_mb());
    const int threads = words.size() > 2 ? std::stoi(words[2]) : 2;
    bonded_job(c, folder, threads); // first, so that its peak memory is its own
    contact_job(c, folder, threads);
    return 0;
  }
  if (what == "cg")
  {
    cg_job(c, folder);
    return 0;
  }
  if (what != "calculix")
    throw Error("mesh, ours, cg or calculix, not " + what);
  calculix_job(c, folder);
  return 0;
}
} // namespace

int main(int argc, char **argv)
{
  try
  {
    return run(std::vector<std::string>(argv + 1, argv + argc));
  }
  catch (const std::exception &error)
  {
    fmt::print(stderr, "bench_solver_speed: {}\n", error.what());
    return 1;
  }
}
