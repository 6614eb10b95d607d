// mesh_study - the demo construct on three meshes, ratio 1.5: which numbers settle, which do not
//   case    scenarios/large_dog.yaml, levelled to 6 degrees, week 0 (fresh cut, friction 0.4), trot at 50 % of stance
//   run     mesh_study FOLDER [SCALE ...]: scales of bone and detail size, falling; default 1.5 1 0.6667 (see README.md for memory)
//   writes  FOLDER/mesh_study.csv, FOLDER/mesh_study.png, again after each mesh; exit 1 when a mesh could not be solved
//   order   p = ln((f1 - f2) / (f2 - f3)) / ln(ratio) of the last three meshes when f1, f2, f3 go one way; limit
//           f3 + (f3 - f2) / (ratio^p - 1) (Richardson); empty when they do not, or when p < 0.5 (no limit to be trusted)
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/peak_memory.h"
#include "models/limb/activities.h"
#include "models/parts/repair.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/tables.h"
#include "solver/patch_load.h"
#include "viz/series.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fmt/format.h>

using namespace stifle;

namespace
{
constexpr double target_deg = 6, stance_percent = 50;

struct Quantity
{
  std::string         name, unit;
  bool                excluded = false;
  std::vector<double> value; ///< per mesh
  std::vector<double> estimate_percent; ///< of the recovery; empty when it has none
};

struct Mesh
{
  double      scale = 0, seconds = 0;
  std::size_t tetrahedra = 0, dofs = 0;
};

class Study
{
public:
  void solve(const Scenario &scenario, double scale)
  {
    const auto      start     = std::chrono::steady_clock::now();
    const Anatomy   anatomy   = make_anatomy(scenario);
    const Levelling levelling = plan_levelling(scenario, anatomy, radians(target_deg));
    const auto      table     = read_activities(data_file("models/limb/activities.yaml"));
    const auto      loads =
      app::loaded_instant(scenario, operate(anatomy, levelling), *find_activity(table, "trot"), stance_percent).joint.on_tibia;
    const mesh::ConstructMesh construct = mesh::mesh_construct(scenario, anatomy, levelling);
    solver::ConstructModel    model(construct, anatomy, levelling, solver::construct_materials(scenario));
    const ConstructState      state = model.solve(loads, solver::cut_law(scenario, 0));
    if (!state.converged)
      throw Error("mesh study: the cut did not converge");
    for (const PartPeak &peak : state.peaks)
      add(peak.excluded ? peak.part + ", at excluded lines" : peak.part, "MPa", peak.von_mises_mpa, peak.excluded,
          peak.error_estimate_percent);
    add_displacement(construct, model);
    add("plateau drift", "deg", state.cut.plateau_drift_deg);
    add("opening of the cut", "mm", state.cut.gap_opening_max_mm);
    add("load through bone", "%", state.cut.load_through_bone_percent);
    for (const ScrewResult &screw : state.screws)
      add(screw.screw + " bending", "N mm", screw.bending_nmm);
    meshes.push_back({scale, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(),
                      construct.mesh.tetrahedra.size(), model.n_dofs()});
    for (Quantity &q : quantities) // a part without a larger excluded value on this mesh
      q.value.resize(meshes.size(), std::nan(""));
  }
  std::vector<Mesh>     meshes;
  std::vector<Quantity> quantities;

private:
  void add(const std::string &name, const std::string &unit, double value, bool excluded = false, double estimate = std::nan(""))
  {
    auto same = std::find_if(quantities.begin(), quantities.end(), [&](const Quantity &q) { return q.name == name; });
    if (same == quantities.end())
      same = quantities.insert(quantities.end(), Quantity{name, unit, excluded, std::vector<double>(meshes.size(), std::nan("")), {}});
    same->value.push_back(value);
    if (std::isfinite(estimate))
      same->estimate_percent.push_back(estimate);
  }
  /// Mean displacement of the plateau along the axis of the tibia, the talar patch held.
  void add_displacement(const mesh::ConstructMesh &construct, const solver::ConstructModel &model)
  {
    const solver::Patch plateau = solver::make_patch(construct.mesh, construct.mesh.find_surface("plateau")->triangles);
    add("plateau sinks", "mm", -solver::mean_motion(model.elasticity(), plateau, model.displacement()).displacement.z());
  }
};

struct Settled
{
  std::optional<double> change_percent, order, limit;
};

Settled judge(const Quantity &q, const std::vector<Mesh> &meshes)
{
  Settled           s;
  const std::size_t n = q.value.size();
  if (n < 2 || !std::isfinite(q.value[n - 1]) || !std::isfinite(q.value[n - 2]))
    return s;
  s.change_percent = 100 * (q.value[n - 1] / q.value[n - 2] - 1);
  if (n < 3 || !std::isfinite(q.value[n - 3]))
    return s;
  const double a = q.value[n - 2] - q.value[n - 3], b = q.value[n - 1] - q.value[n - 2], ratio = meshes[n - 2].scale / meshes[n - 1].scale;
  if (!(a * b > 0))
    return s;
  s.order = std::log(a / b) / std::log(ratio);
  if (*s.order >= 0.5)
    s.limit = q.value[n - 1] + b / (std::pow(ratio, *s.order) - 1);
  return s;
}

void write_study(const std::string &file, const Study &study)
{
  std::vector<std::string> columns = {"quantity", "unit", "excluded"};
  for (const Mesh &m : study.meshes)
    columns.push_back(fmt::format("scale_{:g}", m.scale));
  for (const char *name : {"last_change_percent", "error_estimate_percent", "order", "richardson"})
    columns.push_back(name);
  Table      table(columns);
  const auto add = [&](const std::optional<double> &v) { v && std::isfinite(*v) ? table.add(*v) : table.add_empty(); };
  for (const Mesh &m : study.meshes)
    fmt::print("scale {:g}: {} tetrahedra, {} unknowns, {:.0f} s\n", m.scale, m.tetrahedra, m.dofs, m.seconds);
  fmt::print("\n{:<40} {:>5} values; last change, estimate on the last mesh (%); order; Richardson\n", "quantity", "unit");
  for (const Quantity &q : study.quantities)
  {
    const Settled s = judge(q, study.meshes);
    table.begin_row();
    table.add(q.name);
    table.add(q.unit);
    table.add(q.excluded ? 1.0 : 0.0);
    fmt::print("{:<40} {:>5}", q.name, q.unit);
    for (const double v : q.value)
    {
      add(v);
      fmt::print(" {:>9.4g}", v);
    }
    const std::optional<double> estimate =
      q.estimate_percent.empty() ? std::nullopt : std::optional<double>(q.estimate_percent.back());
    for (const auto &v : {s.change_percent, estimate, s.order, s.limit})
    {
      add(v);
      fmt::print(" {:>8}", v ? fmt::format("{:.3g}", *v) : "-");
    }
    fmt::print("\n");
  }
  write_file(file, table.csv());
}

/// How far each quantity is from its value on the finest mesh, in percent, against the number of unknowns.
std::vector<viz::Series> curves(const Study &study, const std::vector<std::string> &names)
{
  std::vector<viz::Series> all;
  for (const Quantity &q : study.quantities)
  {
    if (std::find(names.begin(), names.end(), q.name) == names.end() || !std::isfinite(q.value.back()) || q.value.back() == 0)
      continue;
    viz::Series curve{q.name, {}, ""};
    for (std::size_t i = 0; i < study.meshes.size(); ++i)
      if (std::isfinite(q.value[i]))
        curve.points.push_back({study.meshes[i].dofs / 1000.0, 100 * (q.value[i] / q.value.back() - 1), {}, {}});
    all.push_back(curve);
  }
  return all;
}

void draw(const Study &study, const std::string &png)
{
  std::string why;
  const bool  drawn = !study.meshes.empty() && viz::try_picture("mesh_study", &why, [&] {
    constexpr int           width = 1500, height = 900;
    viz::Canvas             canvas(width, height);
    const viz::SheetWords   words{"Mesh study of the demo construct",
                                {fmt::format("levelled to {:g} deg, fresh cut, trot, {:g} % of stance; {} meshes", target_deg,
                                             stance_percent, study.meshes.size())},
                                "Teaching and research, not a device."};
    viz::draw_sheet(canvas, words);
    const auto      all = curves(study, {"plateau sinks", "plateau drift", "load through bone", "plate", "plate, at excluded lines",
                                         "screw_3", "cortex_distal", "cortex_proximal"});
    const viz::Axes axes = viz::series_axes({150, 120}, {width - 420.0, height - 20 - viz::sheet_head(words)}, all);
    axes.draw(canvas, "unknowns, thousands", "difference from the finest mesh, %");
    viz::draw_series(canvas, axes, all);
    viz::draw_series_key(canvas, {width - 390.0, height - 40 - viz::sheet_head(words)}, 370, all);
    canvas.save(png);
  });
  fmt::print("{}\n", drawn ? png : "no picture: " + why);
}
} // namespace

int main(int argc, char **argv)
{
  if (argc < 2)
    return std::fprintf(stderr, "mesh_study FOLDER [SCALE ...]\n"), 2;
  std::vector<double> scales = {1.5, 1, 2.0 / 3};
  if (argc > 2)
    scales.clear();
  for (int i = 2; i < argc; ++i)
    scales.push_back(std::atof(argv[i]));
  const Scenario demo = read_scenario(std::string(STIFLE_SOURCE_DIR) + "/scenarios/large_dog.yaml");
  Study          study;
  bool           failed = false;
  for (const double scale : scales)
  {
    Scenario scenario = demo;
    scenario.mesh.bone_size_mm *= scale;
    scenario.mesh.detail_size_mm *= scale;
    try
    {
      study.solve(scenario, scale);
    }
    catch (const std::exception &error)
    {
      fmt::print("scale {:g} failed: {}\n", scale, error.what());
      failed = true;
      continue;
    }
    write_study(std::string(argv[1]) + "/mesh_study.csv", study);
    fmt::print("peak memory {:.0f} MB\n\n", peak_memory_mb());
    std::fflush(stdout);
  }
  draw(study, std::string(argv[1]) + "/mesh_study.png");
  return failed ? 1 : 0;
}
