#include "scenarios/app/slope_run.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "models/healing/diary.h"
#include "scenarios/app/collapse_run.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/kept_fields.h"
#include "scenarios/app/margin_bands.h"
#include "scenarios/app/margin_rows.h"
#include "scenarios/app/mesh_store.h"
#include "scenarios/app/slope_states.h"
#include "solver/bone_law.h"
#include "viz/vtu.h"
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
double since(double start) { return elapsed_seconds() - start; }

/// One slope from mesh to states. The mesh step is serial (Gmsh keeps one global session).
class SlopeRun
{
public:
  SlopeRun(const ConstructPlan &plan, const Levelling &levelling, Shared &shared, SlopeProgress &progress)
    : plan_(plan), anatomy_(make_anatomy(plan.scenario)), levelling_(levelling), limb_use_(limb_use_of(plan.scenario)),
      mesher_(shared.mesher), spare_(shared.spare), progress_(progress)
  {}

  SlopeResult run()
  {
    result_ = slope_for(levelling_);
    make_mesh();
    make_model();
    solve_states();
    write_fields();
    draw_bands();
    load_to_collapse();
    return std::move(result_);
  }

private:
  void make_mesh()
  {
    stop_if_interrupted();
    progress_.starts(name() + ": mesh");
    const double start = elapsed_seconds();
    const auto   kept  = plan_.mesh_folder.empty() ? plan_.folder + "/meshes" : plan_.mesh_folder;
    StoredMesh   made  = stored_mesh({plan_.scenario, anatomy_, levelling_, kept, plan_.threads > 1}, mesher_);
    construct_         = std::move(made.construct);
    result_.timing.push_back({"mesh", since(start)});
    take_mesh(result_, construct_);
    result_.holds = mesh::screw_engagement(construct_);
    log("mesh", fmt::format("{}: {} tetrahedra, worst quality {:.2f}, {:.1f} s{}", name(), result_.tetrahedra,
                            result_.worst_quality, since(start), made.reused ? ", that of an earlier run" : ""));
    for (const std::string &warning : construct_.warnings)
      log("warning", name() + ": " + warning);
    progress_.meshed();
  }

  void make_model()
  {
    stop_if_interrupted();
    progress_.starts(name() + ": factor");
    const Borrowed threads(spare_);
    model_ = std::make_unique<solver::ConstructModel>(construct_, anatomy_, levelling_, solver::construct_materials(plan_.scenario), plan_.solver,
                                                      1 + threads.number());
    states_      = std::make_unique<SlopeStates>(plan_, levelling_, name(), *model_, progress_);
    result_.dofs = model_->n_dofs();
    for (const auto &timing : model_->timing())
      result_.timing.push_back({timing.name, timing.seconds});
    log("factor", fmt::format("{}: {} unknowns{}", name(), result_.dofs, model_->iterative() ? ", conjugate gradients" : ""));
    progress_.factored();
  }

  void solve_states()
  {
    const double          start = elapsed_seconds();
    const OperatedAnatomy bone  = operate(anatomy_, levelling_);
    progress_.starts(name() + ": states");
    for (double week : plan_.scenario.healing.weeks)
    {
      stop_if_interrupted();
      const Borrowed threads(spare_);
      states_->solve_week({plan_.scenario, anatomy_, bone}, week, 1 + threads.number(), result_);
    }
    for (const auto &[message, times] : states_->failures()) // an activity of one instant fails alike in every week
      keep_failure(times > 1 ? fmt::format("{} ({} states alike)", message, times) : message);
    result_.timing.push_back({"states", since(start)});
    log("states", fmt::format("{}: {} states, {:.1f} s", name(), result_.states.size(), since(start)));
  }

  void write_fields()
  {
    const std::string &mode = plan_.scenario.output.fields;
    if (mode == "none" || result_.states.empty())
      return;
    progress_.starts(name() + ": fields");
    const double      start = elapsed_seconds();
    const std::size_t least = least_margin_state(plan_.scenario, result_.states).state;
    for (const std::size_t i : kept_fields(mode, result_.states, least))
      keep_field(result_.states[i]);
    result_.timing.push_back({"fields", since(start)});
    progress_.wrote_fields();
  }

  /// A week whose state is that of an earlier one shares its file; with `all` every state has its own.
  void keep_field(const StateRow &row)
  {
    const StateRow *of = row.copy_of >= 0 ? &result_.states[static_cast<std::size_t>(row.copy_of)] : &row;
    if (of->week == row.week || plan_.scenario.output.fields == "all")
      of = &row;
    const FieldFile file{field_path(result_, *of), row.week, row.activity, row.percent};
    if (std::none_of(result_.fields.begin(), result_.fields.end(), [&](const FieldFile &f) { return f.path == file.path; }))
      write_field(*of, file.path);
    result_.fields.push_back(file);
  }

  std::vector<PointForce> forces_of(const StateRow &row) const
  {
    const OperatedAnatomy bone     = operate(anatomy_, levelling_);
    const Activity       *activity = find_activity(plan_.activities, row.activity); // the row was made from this list
    return loaded_instant(plan_.scenario, bone, *activity, row.percent, limb_use_.share.at(row.week)).joint.on_tibia;
  }

  void write_field(const StateRow &row, const std::string &path)
  {
    stop_if_interrupted();
    const Activity &activity = *find_activity(plan_.activities, row.activity);
    const double    use      = limb_use_.share.at(row.week);
    model_->solve_block(load_path(stance_path(plan_.scenario, operate(anatomy_, levelling_), activity, row.percent, use)),
                        solver::cut_law(plan_.scenario, row.week));
    viz::write_vtu(plan_.folder + "/" + path, model_->field(), plan_.scenario.dog.limb == "left");
  }

  void draw_bands()
  {
    const Scenario &s = plan_.scenario;
    if (s.study.samples < 1 || s.study.margin_samples < 1)
      return;
    progress_.draws(name());
    const double start = elapsed_seconds();
    result_.bands      = sample_margins(s, result_, margin_draws(s, plan_.activities),
                                        [&](const SampledDog &dog, const StateRow &nominal) {
                                          progress_.drew_one();
                                          return solve_drawn(dog, nominal);
                                        });
    result_.timing.push_back({"bands", since(start)});
    log("bands", fmt::format("{}: {}, {:.1f} s", name(), bands_sentence(result_.bands), since(start)));
  }

  /// The drawn dog stands on the tibia that is meshed: what would move it is not drawn.
  StateRow solve_drawn(const SampledDog &dog, const StateRow &nominal)
  {
    stop_if_interrupted();
    const Anatomy         anatomy = make_anatomy(dog.scenario, dog.variation);
    const OperatedAnatomy bone    = operate(anatomy, levelling_);
    return states_->solve_drawn({dog.scenario, anatomy, bone, dog.callus_shift}, *find_activity(dog.activities, nominal.activity), nominal);
  }

  /// One sentence; what else the slope has is kept.
  void keep_failure(const std::string &message)
  {
    result_.failed_states.push_back(message);
    log("error", message);
  }

  /// Last, because the model makes room for it.
  void load_to_collapse()
  {
    if (plan_.scenario.output.collapse != "worst" || !levelling_.cut || result_.states.empty())
      return;
    stop_if_interrupted();
    progress_.pushes(name());
    if (const std::string why = failure_of([&] { push_worst_state(); }); !why.empty()) // what was solved is kept
      keep_failure(fmt::format("{}: not loaded until it collapses: {}", name(), why));
    progress_.pushed();
  }

  void push_worst_state()
  {
    const StateRow               &row    = result_.states[least_margin_state(plan_.scenario, result_.states).state];
    const std::vector<PointForce> forces = forces_of(row);
    solver::CollapseCase          setup{construct_,
                                        anatomy_.hock_centre,
                                        solver::construct_materials(plan_.scenario),
                                        solver::cut_law(plan_.scenario, row.week),
                                        false,
                                        false,
                                        {}};
    solver::check_push(setup);
    setup.bone_laws = solver::bone_laws(construct_.mesh, anatomy_, levelling_, setup.materials);
    model_->solve(forces, setup.law);
    setup.elastic      = model_->displacement();
    const double yield = solver::first_yield_factor(setup, model_->elasticity(), setup.elastic);
    states_.reset();
    model_.reset();
    const double start         = elapsed_seconds();
    result_.collapse           = run_collapse({setup, forces, yield}, stop_if_interrupted);
    result_.collapse->week     = row.week;
    result_.collapse->activity = row.activity;
    result_.collapse->percent  = row.percent;
    result_.timing.push_back({"collapse", since(start)});
    for (const Margin &margin : collapse_margins(*result_.collapse))
      log("collapse", fmt::format("{}, week {}, {}, {} %: {} at {:.3g} of the load; {}", name(), row.week, row.activity, row.percent,
                                  margin.mode, margin.capacity, margin.source));
    if (!(result_.collapse->reached > 0))
      throw Error(result_.collapse->reason.empty() ? "no first step" : result_.collapse->reason);
  }

  std::string name() const
  {
    return fmt::format("{} {:.1f} deg", levelling_.cut ? "levelled to" : "unoperated", result_.target_deg);
  }

  const ConstructPlan                    &plan_;
  Anatomy                                 anatomy_;
  Levelling                               levelling_;
  LimbUse                                 limb_use_;
  std::mutex                             &mesher_;
  SpareThreads                           &spare_;
  SlopeProgress                          &progress_;
  mesh::ConstructMesh                     construct_;
  std::unique_ptr<solver::ConstructModel> model_;
  std::unique_ptr<SlopeStates>            states_;
  SlopeResult                             result_;
};
} // namespace

SlopeResult run_slope(const ConstructPlan &plan, const Levelling &levelling, Shared &shared, SlopeProgress &progress)
{
  return SlopeRun(plan, levelling, shared, progress).run();
}
} // namespace stifle::app
