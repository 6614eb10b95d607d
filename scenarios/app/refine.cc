#include "scenarios/app/refine.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/core/text_width.h"
#include "models/healing/diary.h"
#include "models/parts/repair.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/margin_rows.h"
#include "scenarios/app/refine_store.h"
#include "scenarios/app/stages.h"
#include "solver/construct_results.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>

namespace stifle::app
{
namespace
{
constexpr double      shorter        = 0.5; ///< edge length at a mark over that of the first mesh
constexpr std::size_t marks_per_part = 12;

/// Edge of a regular tetrahedron of the same volume.
double edge_length(double volume) { return std::cbrt(6 * std::sqrt(2.0) * volume); }

Vector3 centre(const solver::Elasticity &e, std::size_t cell)
{
  Vector3 sum = Vector3::Zero();
  for (int i = 0; i < 4; ++i)
    sum += 0.25 * e.nodes()[e.cells()[cell][i]];
  return sum;
}

/// Marks of one part: the cells with the largest share of its squared error, none within an edge of another.
void mark_part(const solver::ConstructModel &model, const solver::PeakTable &table, unsigned part, std::vector<mesh::SizePoint> &marks)
{
  const solver::Elasticity &e = model.elasticity();
  std::vector<std::size_t>  cells;
  std::vector<double>       share(e.cells().size(), 0);
  for (std::size_t c = 0; c < e.cells().size(); ++c)
  {
    if (e.mesh().part[c] != part)
      continue;
    const auto &cell = e.cells()[c];
    if (std::any_of(cell.begin(), cell.begin() + 4, [&](unsigned node) { return table.excluded(node, part); }))
      continue;
    share[c] = std::pow(model.stress().cell_error_percent[c], 2) * e.volume(c);
    cells.push_back(c);
  }
  std::sort(cells.begin(), cells.end(), [&](std::size_t a, std::size_t b) { return share[a] != share[b] ? share[a] > share[b] : a < b; });
  std::size_t made = 0;
  for (const std::size_t c : cells)
  {
    const Vector3 place = centre(e, c);
    const double  edge  = edge_length(e.volume(c));
    if (std::any_of(marks.begin(), marks.end(), [&](const mesh::SizePoint &m) { return (m.place - place).norm() < edge; }))
      continue;
    marks.push_back({place, shorter * edge});
    if (++made == marks_per_part)
      return;
  }
}

/// Mean edge length of the cells of the part around a place of a node.
double edge_at(const solver::Elasticity &e, unsigned part, const Vector3 &place)
{
  double   sum = 0;
  unsigned n   = 0;
  for (std::size_t c = 0; c < e.cells().size(); ++c)
    if (e.mesh().part[c] == part &&
        std::any_of(e.cells()[c].begin(), e.cells()[c].end(), [&](unsigned node) { return (e.nodes()[node] - place).norm() < 1e-9; }))
    {
      sum += edge_length(e.volume(c));
      ++n;
    }
  return n > 0 ? sum / n : 0;
}

struct Worst
{
  std::size_t      slope = 0;
  LeastMarginState least;
};

/// Slopes with a plate come before the bone without one.
Worst worst_state(const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  const auto with_states = [](const SlopeResult &s) { return s.error.empty() && !s.states.empty(); };
  const bool any_plate = std::any_of(slopes.begin(), slopes.end(), [&](const SlopeResult &s) { return s.operated && with_states(s); });
  Worst      worst;
  for (std::size_t i = 0; i < slopes.size(); ++i)
  {
    if (!with_states(slopes[i]) || slopes[i].operated != any_plate)
      continue;
    const LeastMarginState least = least_margin_state(scenario, slopes[i].states);
    if (least.margin && (!worst.least.margin || *least.margin < *worst.least.margin))
      worst = {i, least};
  }
  return worst;
}

/// One state on one mesh, and where a finer one should be finer.
struct Solved
{
  std::size_t                  tetrahedra = 0;
  ConstructState               state;
  std::vector<mesh::SizePoint> places;
};

class Refine
{
public:
  Refine(const ConstructPlan &plan, const Levelling &levelling, const StateRow &row)
    : plan_(plan), levelling_(levelling), anatomy_(make_anatomy(plan.scenario)), row_(row)
  {}

  void fill(Refinement &r, Stage &stage)
  {
    stage.say("the mesh of the run");
    const Solved first = solved({});
    stage.add(1);
    r.tetrahedra       = first.tetrahedra;
    r.drift_deg        = first.state.cut.plateau_drift_deg;
    stop_if_interrupted();
    stage.say("a finer mesh");
    const Solved second  = solved(first.places);
    stage.add(2);
    r.refined_tetrahedra = second.tetrahedra;
    r.refined_drift_deg  = second.state.cut.plateau_drift_deg;
    for (const PartPeak &peak : first.state.peaks)
      for (const PartPeak &other : second.state.peaks)
        if (peak.part == other.part && peak.excluded == other.excluded)
          r.peaks.push_back({peak.part, peak.excluded, peak.von_mises_mpa, other.von_mises_mpa, peak.place_mm, other.place_mm,
                             peak.error_estimate_percent, other.error_estimate_percent});
  }

private:
  Solved solved(const std::vector<mesh::SizePoint> &finer) const
  {
    const mesh::ConstructMesh construct = mesh::mesh_construct(plan_.scenario, anatomy_, levelling_, finer);
    stop_if_interrupted();
    solver::ConstructModel model(construct, anatomy_, levelling_, solver::construct_materials(plan_.scenario), plan_.solver);
    const Activity *activity = find_activity(plan_.activities, row_.activity);
    const double    use      = limb_use_of(plan_.scenario).share.at(row_.week);
    Solved s;
    s.tetrahedra = construct.mesh.tetrahedra.size();
    s.state      = model.solve_block(load_path(stance_path(plan_.scenario, operate(anatomy_, levelling_), *activity, row_.percent, use)),
                                     solver::cut_law(plan_.scenario, row_.week)).back();
    if (!s.state.converged)
      throw Error(fmt::format("refine: the cut contact did not converge on {} tetrahedra, residual {:.2e}", s.tetrahedra,
                              s.state.contact_residual));
    s.places = refine_places(model, s.state.peaks);
    return s;
  }

  const ConstructPlan &plan_;
  const Levelling     &levelling_;
  Anatomy              anatomy_;
  const StateRow      &row_;
};
} // namespace

std::vector<mesh::SizePoint> refine_places(const solver::ConstructModel &model, const std::vector<PartPeak> &peaks)
{
  const solver::Elasticity    &e = model.elasticity();
  const solver::PeakTable      table(e, std::vector<double>(e.mesh().parts.size(), 0));
  std::vector<mesh::SizePoint> marks;
  for (const PartPeak &peak : peaks)
    if (!peak.excluded)
      marks.push_back({peak.place_mm, shorter * edge_at(e, static_cast<unsigned>(e.mesh().find_part(peak.part)), peak.place_mm)});
  for (unsigned part = 0; part < e.mesh().parts.size(); ++part)
    mark_part(model, table, part, marks);
  return marks;
}

std::optional<Refinement> refine_worst_state(const ConstructPlan &plan, const std::vector<SlopeResult> &slopes)
{
  const Worst worst = worst_state(plan.scenario, slopes);
  if (!worst.least.margin)
    return std::nullopt;
  const SlopeResult &slope = slopes[worst.slope];
  const StateRow    &row   = slope.states[worst.least.state];
  Refinement         r{slope.achieved_deg, slope.target_deg, row.week, row.percent, slope.operated, row.activity, 0, 0, 0, 0, {}, ""};
  const std::string  file = plan.folder + "/cases/refined.json";
  Stage stage("refine", 3); // the finer mesh takes about twice the time
  const bool again = std::filesystem::exists(file) && read_refinement(read_file(file), plan.fingerprint, r);
  if (again)
    log("take up", "refined state: finished by an earlier run");
  else
  {
    log("refine", fmt::format("slope {:.1f} deg, week {:g}, {}, {:g} %: a finer mesh where the error estimate is largest", r.target_deg,
                              r.week, r.activity, r.percent));
    try
    {
      const std::vector<Levelling> all = slopes_of(plan.scenario);
      Refine(plan, all.at(worst.slope), row).fill(r, stage);
      write_file(file, refinement_text(r, plan.fingerprint));
    }
    catch (const Error &error)
    {
      r.error = error.what();
      log("error", r.error);
      stage.end("FAILED");
      return r;
    }
  }
  write_file(plan.folder + "/refine.csv", refine_csv(r));
  log("refine", fmt::format("{} tetrahedra, then {}", r.tetrahedra, r.refined_tetrahedra));
  stage.end(again ? fmt::format("{} tetrahedra, finished by an earlier run", r.refined_tetrahedra)
                  : fmt::format("{} tetrahedra, then {}", r.tetrahedra, r.refined_tetrahedra));
  return r;
}
} // namespace stifle::app
