#include "scenarios/app/rig_tier.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/parts/repair.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/closing.h"
#include "scenarios/app/pictures.h"
#include "scenarios/app/report_html.h"
#include "scenarios/app/refusals.h"
#include "scenarios/app/run_events.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/store.h"
#include "scenarios/app/table_cells.h"
#include "scenarios/app/tables.h"
#include "viz/vtu.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
std::vector<Levelling> slopes_of(const Scenario &scenario)
{
  Anatomy anatomy = make_anatomy(scenario);
  std::vector<Levelling> slopes;
  if (scenario.rig.used_specimen() != "tibia")
    anatomy.plateau_angle_rad = 0; // no plateau: its columns say 0
  if (scenario.rig.used_specimen() == "tibia" && has_repair(scenario, RepairKind::levelling))
    for (const double angle_deg : scenario.levelling.plateau_angles_deg)
      slopes.push_back(plan_levelling(scenario, anatomy, radians(angle_deg)));
  else
    slopes.push_back(no_levelling(anatomy));
  return slopes;
}

LimbForces limb_of(const RigParameters &rig)
{
  LimbForces limb;
  if (rig.kind == "tendon_pull")
    limb.patellar_tendon_n = rig.force_n;
  if (rig.kind == "axial")
    limb.hock_force_n = rig.force_n;
  return limb;
}

/// Units: of one specimen mesh 2, factor 3, states 2 (about the parts of their time); of the other a push each.
struct RigStages
{
  static constexpr double specimen = 7;
  RigStages(const Scenario &scenario, std::size_t specimens) : construct("construct", specimen * double(specimens))
  {
    if (scenario.rig.collapse)
      collapse.emplace("collapse", double(specimens));
  }
  Stage                construct;
  std::optional<Stage> collapse;
  int                  taken_up = 0;
};

/// One specimen from mesh to answer.
class RigRun
{
public:
  RigRun(const Scenario &scenario, const std::string &folder, const Levelling &levelling, RigStages &stages)
    : slope(slope_for(levelling)), scenario_(scenario), folder_(folder), levelling_(levelling), stages_(stages)
  {}
  SlopeResult slope;

  template <class Work> auto timed(const std::string &name, const Work &work)
  {
    const double start = elapsed_seconds();
    stop_if_interrupted();
    auto result = work();
    slope.timing.push_back({name, elapsed_seconds() - start});
    log(name, fmt::format("{:.1f} s", slope.timing.back().seconds));
    return result;
  }

  void run()
  {
    stages_.construct.say("mesh");
    const solver::RigBench bench = timed("mesh", [&] { return solver::make_bench(scenario_, levelling_); });
    keep_mesh(bench);
    stages_.construct.add(2);
    stages_.construct.say("factor");
    solver::ConstructModel model(bench.specimen.construct, bench.specimen.anatomy, bench.specimen.levelling, bench.materials);
    slope.dofs = model.n_dofs();
    log("factor", fmt::format("{} unknowns", slope.dofs));
    stop_if_interrupted();
    stages_.construct.add(3);
    stages_.construct.say("states");
    const solver::RigAnswer answer = timed("states", [&] { return solver::solve_rig(bench, model); });
    stages_.construct.add(2);
    StateRow row;
    row.week     = scenario_.healing.weeks.front();
    row.activity = scenario_.rig.kind;
    row.state    = answer.state;
    row.limb     = limb_of(scenario_.rig);
    slope.states.push_back(row);
    write_field(model);
    slope.rig = rig_rows(bench, answer, {});
    if (scenario_.rig.collapse)
      push(bench, answer);
  }

private:
  void keep_mesh(const solver::RigBench &bench)
  {
    const mesh::ConstructMesh &c = bench.specimen.construct;
    take_mesh(slope, c);
    if (bench.rig.used_specimen() == "tibia")
      slope.holds = mesh::screw_engagement(c);
    log("mesh", fmt::format("{} of rig {}: {} tetrahedra, worst quality {:.2f}", bench.rig.used_specimen(), bench.rig.kind,
                            slope.tetrahedra, slope.worst_quality));
    for (const std::string &warning : c.warnings)
      log("warning", warning);
  }

  /// A push that fails leaves what was solved before.
  void push(const solver::RigBench &bench, const solver::RigAnswer &answer)
  {
    stages_.collapse->say("rig " + scenario_.rig.kind);
    const std::string why = failure_of([&] { slope.rig = rig_rows(bench, answer, timed("push", [&] { return pushed(bench); })); });
    stages_.collapse->add(1);
    if (why.empty())
      return;
    slope.failed_states.push_back(fmt::format("rig {}: not loaded until it collapses: {}", scenario_.rig.kind, why));
    log("error", slope.failed_states.back());
  }

  solver::RigCollapse pushed(const solver::RigBench &bench)
  {
    solver::CutLaw law = bench.law;
    law.bonded         = !(law.gap_mm > 0); // a push of a fresh closed cut is slow
    if (!bench.specimen.construct.mesh.cut.empty() && law.bonded)
      log("push", "the cut is taken as bonded");
    const solver::RigCollapse push = solver::push_rig(bench, law, false, solver::push_factors(scenario_.rig.largest_factor));
    if (!push.push.solve.reason.empty())
      log("push", fmt::format("ended at {:g}: {}", push.reached, push.push.solve.reason));
    return push;
  }

  void write_field(const solver::ConstructModel &model)
  {
    if (scenario_.output.fields == "none")
      return;
    FieldFile file;
    file.path     = fmt::format("fields/rig_{}_{:+06.2f}.vtu", scenario_.rig.kind, slope.target_deg);
    file.week     = slope.states.back().week;
    file.activity = scenario_.rig.kind;
    viz::write_vtu(folder_ + "/" + file.path, model.field(), scenario_.dog.limb == "left");
    slope.fields.push_back(file);
  }

  const Scenario   &scenario_;
  const std::string folder_;
  Levelling         levelling_;
  RigStages        &stages_;
};

std::string rig_csv(const std::vector<SlopeResult> &slopes)
{
  Table table({"plateau_angle_deg", "quantity", "value", "unit", "part", "x_mm", "y_mm", "z_mm"});
  for (const SlopeResult &slope : slopes)
    for (const RigRow &row : slope.rig)
    {
      table.begin_row();
      table.add(row.plateau_angle_deg);
      table.add(row.quantity);
      table.add(row.value);
      table.add(row.unit);
      table.add(row.part);
      add_place(table, row.place_mm);
    }
  return table.csv();
}

SlopeResult taken_up_or_run(const Scenario &scenario, const std::string &folder, const std::string &mark, const Levelling &levelling,
                            RigStages &stages)
{
  SlopeResult done;
  if (take_up(folder, mark, levelling, done))
  {
    ++stages.taken_up;
    stages.construct.skip(RigStages::specimen);
    if (stages.collapse)
      stages.collapse->skip(1);
    done.timing.clear(); // of an earlier run
    return done;
  }
  RigRun run(scenario, folder, levelling, stages);
  const std::string why = failure_of([&] {
    run.run();
    keep_slope(folder, mark, run.slope);
  });
  if (!why.empty())
  {
    run.slope.error = why;
    log("error", why);
  }
  return run.slope;
}

std::vector<SlopeResult> run_specimens(const Scenario &scenario, const std::string &folder, const std::string &mark)
{
  const std::vector<Levelling> levellings = slopes_of(scenario);
  RigStages                    stages(scenario, levellings.size());
  std::vector<SlopeResult>     slopes;
  for (const Levelling &levelling : levellings)
    slopes.push_back(taken_up_or_run(scenario, folder, mark, levelling, stages));
  const auto failed = std::count_if(slopes.begin(), slopes.end(), [](const SlopeResult &slope) { return !slope.error.empty(); });
  stages.construct.end(fmt::format("{} of {} specimens{}{}", slopes.size() - failed, slopes.size(), failed > 0 ? ", others FAILED" : "",
                                   stages.taken_up > 0 ? fmt::format(", {} finished by an earlier run", stages.taken_up) : ""));
  if (stages.collapse)
    stages.collapse->end("loaded beyond yield");
  return slopes;
}
} // namespace

void check_rig_geometry(const Scenario &scenario, const std::string &file)
{
  Refusals refusals(file);
  try
  {
    for (const Levelling &levelling : slopes_of(scenario))
      solver::check_bench(scenario, levelling);
  }
  catch (const InputError &)
  {
    throw;
  }
  catch (const Error &error)
  {
    refusals.add("rig." + scenario.rig.kind, error.what(), "a specimen that can be made: see stifle keys rig, plate, screws, levelling");
  }
  refusals.finish();
}

int run_rig(const Scenario &scenario, const RunOptions &options)
{
  const std::string mark = start_results(options.out, scenario, "rig " + scenario.rig.kind);
  std::filesystem::create_directories(options.out + "/fields");
  const std::vector<SlopeResult> slopes = run_specimens(scenario, options.out, mark);
  const JudgedSlopes judged = judge(scenario, slopes);
  write_construct_tables(options.out, judged);
  write_file(options.out + "/rig.csv", rig_csv(slopes));
  std::vector<PhaseTime> phases;
  for (const SlopeResult &slope : slopes)
    for (const SlopeTiming &t : slope.timing)
      phases.push_back({t.name, t.seconds});
  write_pictures(options.out, scenario, slopes);
  phases.push_back({"total", elapsed_seconds()});
  write_summary(options.out, scenario, {}, judged, phases);
  write_report(options.out, scenario, slopes);
  print_closing("\n" + rig_text(scenario, judged) + "\n" + results_line(options.out) + caution() + "\n");
  const bool failed =
      std::any_of(slopes.begin(), slopes.end(), [](const SlopeResult &slope) { return !slope.error.empty() || !slope.failed_states.empty(); });
  return tell_done(failed ? 1 : 0, options.out, judged.margins);
}
} // namespace stifle::app
