// bench_stress [bone_size_mm detail_size_mm] - stress recovery of many states: tetrahedra times states per minute and core
//   Solves the defaults' dog (levelled to 6 degrees) in six instants, then recovers mixtures of them. CSV: what, states at once, user
//   seconds a state, million tetrahedra times states a minute. User seconds of this process (getrusage), one thread; each row the
//   median of five runs.
#include "models/core/error.h"
#include "solver/block_stress.h"
#include "solver/construct_model.h"
#include "solver/stress_lanes.h"
#include "tests/solver/support/plain_recovery.h"
#include <fmt/format.h>
#include <map>
#include <random>
#include <set>
#include <sys/resource.h>

using namespace stifle;
using namespace stifle::solver;

namespace
{
double user_seconds()
{
  rusage r;
  getrusage(RUSAGE_SELF, &r);
  return r.ru_utime.tv_sec + 1e-6 * r.ru_utime.tv_usec + r.ru_stime.tv_sec + 1e-6 * r.ru_stime.tv_usec;
}

struct Case
{
  Scenario            scenario;
  Anatomy             anatomy   = make_anatomy(scenario);
  Levelling           levelling = plan_levelling(scenario, anatomy, radians(6));
  mesh::ConstructMesh construct;
  ConstructMaterials  materials = construct_materials(scenario);
};

std::vector<PointForce> loads(const Case &c, const Activity &activity, double percent)
{
  const JointState joint = solve_instant(c.scenario, operate(c.anatomy, c.levelling), LigamentState::torn, LoadSet::stance, &activity, percent);
  if (!joint.converged)
    throw Error("the joint did not converge: " + activity.name);
  return joint.on_tibia;
}

/// States of walk and trot at three instants, fresh cut and week 8.
Eigen::MatrixXd solved_states(const Case &c, ConstructModel &model)
{
  std::vector<Vector> states;
  for (const Activity &activity : default_activities())
    if (activity.name == "walk" || activity.name == "trot")
      for (const double percent : {25.0, 50.0, 75.0})
        for (const double week : {0.0, 8.0})
        {
          model.solve(loads(c, activity, percent), cut_law(c.scenario, week));
          states.push_back(model.displacement());
        }
  Eigen::MatrixXd u(model.n_dofs(), states.size());
  for (std::size_t s = 0; s < states.size(); ++s)
    u.col(s) = states[s];
  return u;
}

template <class Work> void time_it(const char *what, std::size_t cells, Eigen::Index at_once, const Work &work)
{
  std::vector<double> runs;
  for (int i = 0; i < 5; ++i)
  {
    const double before = user_seconds();
    work();
    runs.push_back((user_seconds() - before) / at_once);
  }
  std::sort(runs.begin(), runs.end());
  fmt::print("{},{},{:.5f},{:.1f}\n", what, at_once, runs[2], 60e-6 * cells / runs[2]);
  std::fflush(stdout);
}

/// The recovered fields alone: no peaks, no yield, no errors.
template <int W> void recover_only(const StressPlan &plan, const Eigen::MatrixXd &u)
{
  std::vector<double> nodal(u.rows() * W), stress(6 * W * plan.node.size());
  for (Eigen::Index i = 0; i < u.rows(); ++i)
    for (int s = 0; s < W; ++s)
      nodal[i * W + s] = u(i, s);
  recover_lanes<W>(plan, nodal.data(), stress.data(), nullptr, [](const StressCell &, const CornerLanes<W> &) {});
}

/// Share of the cells with a node on the surface of their part.
double near_surface(const Elasticity &e)
{
  std::map<std::array<unsigned, 4>, int> faces; ///< part and three vertices
  const auto each_face = [&](auto work) {
    for (std::size_t c = 0; c < e.cells().size(); ++c)
      for (int skip = 0; skip < 4; ++skip)
      {
        std::array<unsigned, 4> face{{e.mesh().part[c], 0, 0, 0}};
        for (int i = 0, k = 1; i < 4; ++i)
          if (i != skip)
            face[k++] = e.cells()[c][i];
        std::sort(face.begin() + 1, face.end());
        work(face);
      }
  };
  each_face([&](const std::array<unsigned, 4> &face) { ++faces[face]; });
  std::set<std::pair<unsigned, unsigned>> skin;
  for (const auto &[face, times] : faces)
    if (times == 1)
      for (int k = 1; k < 4; ++k)
        skin.insert({face[0], face[k]});
  std::size_t near = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    near += std::any_of(e.cells()[c].begin(), e.cells()[c].begin() + 4,
                        [&](unsigned node) { return skin.count({e.mesh().part[c], node}) > 0; });
  return double(near) / e.cells().size();
}

void run(double bone_size_mm, double detail_size_mm)
{
  Case c;
  c.scenario.mesh = {bone_size_mm, detail_size_mm};
  c.construct     = mesh::mesh_construct(c.scenario, c.anatomy, c.levelling);
  ConstructModel        model(c.construct, c.anatomy, c.levelling, c.materials);
  const Eigen::MatrixXd known = solved_states(c, model);
  const Elasticity     &e     = model.elasticity();
  std::vector<double>   yields;
  for (const std::string &part : c.construct.mesh.parts)
    yields.push_back(material_of(part, c.materials).yield_mpa);
  const PeakTable   peaks(e, yields);
  const ScrewShafts shafts(c.construct, e);
  BlockStress       block(e, peaks, shafts);
  std::mt19937      random(1);
  Eigen::MatrixXd   u(known.rows(), 16); // drawn dogs: each a solved state, with a little of the others
  for (int s = 0; s < 16; ++s)
  {
    u.col(s) = known.col(s % known.cols());
    for (Eigen::Index k = 0; k < known.cols(); ++k)
      u.col(s) += 0.02 * (random() / 2147483648.0 - 1) * known.col(k);
  }
  const Eigen::MatrixXd threads = Eigen::MatrixXd::Zero(u.rows(), 16);
  const std::size_t     cells   = e.cells().size();
  block.learn(known, Eigen::MatrixXd::Zero(known.rows(), known.cols()));
  fmt::print("# {} tetrahedra, {} entries; cells near the surface of their part {:.1f} %, around candidates {:.1f} %\n", cells,
             number_entries(e).node.size(), 100 * near_surface(e), 100 * block.candidate_cells());
  fmt::print("what,states_at_once,user_s_per_state,million_tetrahedra_states_per_minute\n");
  RecoveredStress field;
  time_it("plain recovery and rows (as before)", cells, 1, [&] {
    field = plain::recover_stress(e, u.col(0));
    plain::rows(e, peaks, field);
    shafts.results(field, threads.col(0));
  });
  time_it("one field with errors of all cells", cells, 1, [&] { recover_stress(e, u.col(0), field); });
  const StressPlan plan = make_plan(e, number_entries(e));
  time_it("recovery alone", cells, 1, [&] { recover_only<1>(plan, u); });
  time_it("recovery alone", cells, 2, [&] { recover_only<2>(plan, u); });
  time_it("recovery alone", cells, 4, [&] { recover_only<4>(plan, u); });
  time_it("recovery alone", cells, 8, [&] { recover_only<8>(plan, u); });
  for (const int n : {1, 4, 8, 16})
    time_it("all entries: peaks; yield; errors; shafts", cells, n, [&] { block.rows(u.leftCols(n), threads.leftCols(n)); });
  for (const int n : {1, 4, 8, 16})
    time_it("at candidates: peaks; shafts", cells, n, [&] { block.rows_at_candidates(u.leftCols(n), threads.leftCols(n)); });
}
} // namespace

int main(int argc, char **argv)
{
  try
  {
    run(argc > 2 ? std::atof(argv[1]) : 3, argc > 2 ? std::atof(argv[2]) : 0.6);
  }
  catch (const std::exception &error)
  {
    fmt::print(stderr, "{}\n", error.what());
    return 1;
  }
}
