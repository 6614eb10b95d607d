#include "scenarios/app/slope_run.h"
#include "mesh/construct.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "models/healing/diary.h"
#include "scenarios/app/collapse_run.h"
#include "scenarios/app/cut_map.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/kept_fields.h"
#include "scenarios/app/margin_bands.h"
#include "scenarios/app/margin_rows.h"
#include "solver/bone_law.h"
#include "viz/vtu.h"
#include <fmt/format.h>
#include <map>

namespace stifle::app
{
namespace
{
double since(double start) { return elapsed_seconds() - start; }

/// The dog whose state is solved: that of the scenario, or a drawn one on the same tibia.
struct Subject
{
  const Scenario        &scenario;
  const Anatomy         &anatomy; ///< before the operation
  const OperatedAnatomy &bone;
  double                 callus_shift = 0;
};

/// One slope from mesh to states. The mesh step is serial (Gmsh keeps one global session).
class SlopeRun
{
public:
  SlopeRun(const ConstructPlan &plan, const Levelling &levelling, std::mutex &mesher, SlopeProgress &progress)
    : plan_(plan), anatomy_(make_anatomy(plan.scenario)), levelling_(levelling), limb_use_(limb_use_of(plan.scenario)), mesher_(mesher),
      progress_(progress)
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
    std::lock_guard<std::mutex> lock(mesher_);
    stop_if_interrupted();
    progress_.starts(name() + ": mesh");
    const double start = elapsed_seconds();
    construct_         = mesh::mesh_construct(plan_.scenario, anatomy_, levelling_);
    result_.timing.push_back({"mesh", since(start)});
    take_mesh(result_, construct_);
    result_.holds = mesh::screw_engagement(construct_);
    log("mesh", fmt::format("{}: {} tetrahedra, worst quality {:.2f}, {:.1f} s", name(), result_.tetrahedra,
                            result_.worst_quality, since(start)));
    for (const std::string &warning : construct_.warnings)
      log("warning", name() + ": " + warning);
    progress_.meshed();
  }

  void make_model()
  {
    stop_if_interrupted();
    progress_.starts(name() + ": factor");
    model_ = std::make_unique<solver::ConstructModel>(construct_, anatomy_, levelling_, solver::construct_materials(plan_.scenario));
    result_.dofs = model_->n_dofs();
    for (const auto &timing : model_->timing())
      result_.timing.push_back({timing.name, timing.seconds});
    log("factor", fmt::format("{}: {} unknowns", name(), result_.dofs));
    progress_.factored();
  }

  void solve_states()
  {
    const double          start = elapsed_seconds();
    const OperatedAnatomy bone  = operate(anatomy_, levelling_);
    const Scenario       &s     = plan_.scenario;
    progress_.starts(name() + ": states");
    std::map<std::string, int> failures;
    for (double week : s.healing.weeks)
      for (const Activity &activity : plan_.activities)
        for (double percent : s.study.stance_percent)
        {
          stop_if_interrupted();
          try
          {
            const StateRow *equal = equal_state(week, activity, percent);
            StateRow        row   = equal ? *equal : solve_state({s, anatomy_, bone}, week, activity, percent);
            if (equal && equal->copy_of < 0)
              row.copy_of = static_cast<int>(equal - result_.states.data());
            row.week              = week;
            row.percent           = percent;
            result_.states.push_back(row);
            if (!equal)
              keep_larger_load(result_.cut_maps, {week, row.activity, percent, row.limb.hock_force_n, model_->cut_map()});
            progress_.solved_state(equal);
          }
          catch (const Error &error) // one state that fails leaves the others of the slope
          {
            ++failures[error.what()];
            progress_.solved_state(false);
          }
        }
    for (const auto &[message, times] : failures) // an activity of one instant fails alike in every week
      keep_failure(times > 1 ? fmt::format("{} ({} states alike)", message, times) : message);
    result_.timing.push_back({"states", since(start)});
    log("states", fmt::format("{}: {} states, {:.1f} s", name(), result_.states.size(), since(start)));
  }

  /// A state already solved that is the same: an activity of one instant has no other, a bone without a cut does not heal.
  const StateRow *equal_state(double week, const Activity &activity, double percent) const
  {
    for (const StateRow &row : result_.states)
      if (row.activity == activity.name && (row.percent == percent || activity.rows.size() == 1) &&
          (row.week == week || (!levelling_.cut && limb_use_.share.at(row.week) == limb_use_.share.at(week))))
        return &row;
    return nullptr;
  }

  StateRow solve_state(const Subject &dog, double week, const Activity &activity, double percent)
  {
    const double        start   = elapsed_seconds();
    const LoadedInstant instant = loaded_instant(dog.scenario, dog.bone, activity, percent, limb_use_.share.at(week));
    if (!instant.joint.converged)
      throw Error(fmt::format("the joint did not converge: {}, {}, {} % of stance", name(), activity.name, percent));
    StateRow row;
    row.week     = week;
    row.activity = activity.name;
    row.percent  = percent;
    row.state    = model_->solve(instant.joint.on_tibia, solver::cut_law(dog.scenario, week, dog.callus_shift));
    if (!row.state.converged)
      throw Error(fmt::format("the cut contact did not converge: {}, week {}, {}, {} % of stance, residual {:.2e}", name(),
                              week, activity.name, percent, row.state.contact_residual));
    row.limb = {instant.joint.patellar_tendon_n, instant.joint.cruciate_cranial_n, instant.joint.cruciate_caudal_n,
                instant.joint.hock_force_n};
    close(dog, instant, row);
    row.seconds = since(start);
    return row;
  }

  /// Foot on tibia. In space the gastrocnemius has two heads that turn with the femur: the foot is balanced in the pose.
  Vector3 hock_force(const Subject &dog, const LoadedInstant &instant) const
  {
    if (dog.scenario.joint.dimension == 3)
      return instant.joint.hock_on_tibia;
    const Vector3 fabella =
        instant.joint.femur_origin + rotation_about_y(pi - instant.load.stifle_angle_rad) * dog.anatomy.gastrocnemius_origin;
    return foot_balance(instant.load, fabella, dog.anatomy.calcanean_origin).hock_on_tibia;
  }

  /// The support must give back the hock force of the limb, and no moment about the hock axis.
  void close(const Subject &dog, const LoadedInstant &instant, StateRow &row) const
  {
    const Vector3 hock         = hock_force(dog, instant);
    const double  stifle_nmm   = std::abs(net_moments(instant.load, dog.anatomy, true).stifle_nmm);
    row.closure_force_percent  = 100 * (row.state.reaction_force_n - hock).norm() / hock.norm();
    row.closure_moment_percent = 100 * std::abs(row.state.reaction_moment_nmm.y()) / stifle_nmm;
    if (!(row.closure_force_percent < 1) || !(row.closure_moment_percent < 1))
      throw Error(fmt::format("the chain does not close: {}, {}, {} %: force {:.3f} %, moment {:.3f} % (allowed 1 %)", name(),
                              row.activity, row.percent, row.closure_force_percent, row.closure_moment_percent));
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
    model_->solve(forces_of(row), solver::cut_law(plan_.scenario, row.week));
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
    return solve_state({dog.scenario, anatomy, bone, dog.callus_shift}, nominal.week,
                       *find_activity(dog.activities, nominal.activity), nominal.percent);
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
  SlopeProgress                          &progress_;
  mesh::ConstructMesh                     construct_;
  std::unique_ptr<solver::ConstructModel> model_;
  SlopeResult                             result_;
};
} // namespace

SlopeResult run_slope(const ConstructPlan &plan, const Levelling &levelling, std::mutex &mesher, SlopeProgress &progress)
{
  return SlopeRun(plan, levelling, mesher, progress).run();
}
} // namespace stifle::app
