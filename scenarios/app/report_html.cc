#include "scenarios/app/report_html.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/parts/repair.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/stages.h"
#include "scenarios/app/vector_json.h"
#include "viz/joint_shape.h"
#include "viz/report_page.h"
#include <filesystem>
#include <fmt/format.h>
#include <nlohmann/json.hpp>

using nlohmann::json;

namespace stifle::app
{
namespace
{
/// Sagittal, to a tenth of a millimetre: what a drawing needs.
json drawn(const viz::Outline &outline)
{
  json points = json::array();
  for (const Vector3 &p : outline)
    points.push_back({std::round(10 * p.x()) / 10, std::round(10 * p.z()) / 10});
  return points;
}

json drawn(const Vector3 &point) { return drawn(viz::Outline{point})[0]; }

json tibia_json(const Scenario &scenario, const std::string &repair, double target_deg)
{
  const viz::JointShape shape = viz::joint_shape(scenario, repair, target_deg);
  const viz::TibiaOutlines t = viz::tibia_outlines(shape);
  const Anatomy &a = shape.bone.anatomy;
  return {{"repair", repair},
          {"target_deg", target_deg},
          {"whole", drawn(t.whole)},
          {"left", drawn(t.left)},
          {"moved", drawn(t.moved)},
          {"surface", drawn(t.surface)},
          {"chord", drawn(t.chord)},
          {"origin", drawn(shape.bone.plateau_origin)},
          {"insertion", drawn(a.tendon_insertion)},
          {"cranial_cruciate", drawn(a.cranial_cruciate_tibia)},
          {"caudal_cruciate", drawn(a.caudal_cruciate_tibia)}};
}

/// The femur with its condyle centre at the origin and the thigh along z: the page turns and moves it.
json femur_json(const Scenario &scenario)
{
  const Anatomy anatomy = make_anatomy(scenario);
  const viz::FemurOutlines f = viz::femur_outlines(anatomy, Vector3::Zero(), pi);
  return {{"shaft", drawn(f.shaft)},
          {"trochlea", drawn(f.trochlea)},
          {"trochlea_radius", f.trochlea_radius_mm},
          {"condyle_radius", f.condyle_radius_mm},
          {"quadriceps_origin", drawn(f.quadriceps_origin)},
          {"cranial_cruciate", drawn(f.cranial_cruciate)},
          {"caudal_cruciate", drawn(f.caudal_cruciate)}};
}

/// Outlines for every slope of joint.csv; for a scanned bone those of the standard bone, which the page says.
json shapes_json(const Scenario &scenario, const std::string &folder)
{
  if (!std::filesystem::exists(folder + "/joint.csv"))
    return nullptr;
  const ReadTable joint = read_table(folder + "/joint.csv");
  const int repair = joint.column("repair"), target = joint.column("plateau_angle_target_deg");
  json tibias = json::array();
  std::vector<std::pair<std::string, std::string>> seen;
  for (const auto &row : joint.rows)
  {
    const std::pair<std::string, std::string> key(row[repair], row[target]);
    if (std::find(seen.begin(), seen.end(), key) != seen.end())
      continue;
    seen.push_back(key);
    tibias.push_back(tibia_json(scenario, key.first, std::stod(key.second)));
  }
  return {{"tibias", tibias}, {"femur", femur_json(scenario)}, {"view", {viz::view_low_mm, viz::view_high_mm, viz::view_middle_x_mm}}};
}

json facts_json(const Scenario &s)
{
  return {{"name", s.dog.name},
          {"mass_kg", s.dog.mass_kg},
          {"limb", s.dog.limb},
          {"tibia_length_mm", s.tibia.length_mm},
          {"plateau_angle_deg", s.tibia.plateau_angle_deg},
          {"surface", s.tibia.surface.has_value()},
          {"ligament", s.joint.ligament},
          {"dimension", s.joint.dimension},
          {"load_sets", s.loads.set},
          {"repairs", s.repair.kind},
          {"targets_deg", s.levelling.plateau_angles_deg},
          {"saw_radius_mm", s.levelling.saw_radius_mm},
          {"activities", s.activities},
          {"weeks", s.healing.weeks},
          {"cut", s.healing.cut},
          {"gap_mm", s.healing.gap_mm},
          {"diary", s.healing.diary},
          {"stance_percent", s.study.stance_percent},
          {"samples", s.study.samples},
          {"plate_width_mm", s.plate.width_mm},
          {"plate_thickness_mm", s.plate.thickness_mm},
          {"plate_material", s.plate.material},
          {"rig", s.rig.on() ? json(s.rig.kind) : json(nullptr)}};
}
} // namespace

std::string slope_words(const SlopeResult &slope)
{
  return fmt::format("{} {:g} deg", slope.operated ? "Plateau levelled to" : "Unoperated plateau", slope.target_deg);
}

std::string state_words(const FieldFile &field)
{
  if (field.path.rfind("fields/rig_", 0) == 0)
    return "Rig " + field.activity;
  return fmt::format("{}, {:g} % of stance", field.activity, field.percent);
}

std::string field_words(const SlopeResult &slope, const FieldFile &field)
{
  if (field.path.rfind("fields/rig_", 0) == 0)
    return state_words(field) + (slope.operated ? fmt::format(", plateau levelled to {:g} deg", slope.target_deg) : "");
  return fmt::format("{}, week {:g}, {}", slope_words(slope), field.week, state_words(field));
}

void write_report(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  viz::ReportPage page;
  page.folder = folder;
  page.title = scenario.dog.name;
  page.caution = caution();
  page.facts = json{{"facts", facts_json(scenario)}, {"shapes", shapes_json(scenario, folder)}}.dump();
  if (const std::string shipped = data_file("scenarios/data/validate.csv"); std::filesystem::exists(shipped))
    page.checks = shipped;
  for (const SlopeResult &slope : slopes)
    for (const FieldFile &field : slope.fields)
      page.states.push_back(
          {field.path, field_words(slope, field), slope.target_deg, field.week, field.percent, slope.operated, field.activity});
  Stage stage("report", 1);
  stage.say("report.html");
  try
  {
    const std::size_t bytes = viz::write_report_page(page);
    stage.add(1);
    log("report", fmt::format("{}/report.html, {:.1f} MB", folder, double(bytes) / 1e6));
    stage.end(fmt::format("report.html, {:.1f} MB", double(bytes) / 1e6));
  }
  catch (const std::exception &error)
  {
    log("warning", std::string("report.html left out: ") + error.what());
    stage.end("left out");
  }
}
} // namespace stifle::app
