#include "scenarios/app/pictures.h"
#include "models/core/log.h"
#include "models/parts/repair.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/report_html.h"
#include "viz/field_list.h"
#include "viz/picture.h"
#include "viz/virtual_screen.h"
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fmt/format.h>
#include <set>
#include <sys/wait.h>
#include <unistd.h>

namespace stifle::app
{
namespace
{
void list_fields(const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  std::vector<viz::FieldEntry> entries;
  for (const SlopeResult &slope : slopes)
    for (const FieldFile &field : slope.fields)
      entries.push_back({field.path, field.week, slope_words(slope), state_words(field)});
  viz::write_field_list(folder, entries);
}

void report(bool drawn, const std::string &png, const std::string &why)
{
  log("picture", drawn ? png : "left out: " + why);
}

void draw_constructs(const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  std::set<std::string> drawn_already; // weeks may share a file
  for (const SlopeResult &slope : slopes)
    for (const FieldFile &field : slope.fields)
    {
      if (!drawn_already.insert(field.path).second)
        continue;
      viz::ConstructPicture picture;
      picture.vtu   = folder + "/" + field.path;
      picture.png   = folder + "/pictures/" + std::filesystem::path(field.path).stem().string() + ".png";
      picture.title = field_words(slope, field);
      picture.caution = caution();
      std::string why;
      const bool  drawn = viz::draw_construct(picture, &why);
      report(drawn, picture.png, why);
    }
}

/// The target nearest to the usual clinical goal of 5 to 6.5 deg (joint.md section 1).
double usual_target_deg(const Scenario &scenario)
{
  const auto      &targets = scenario.levelling.plateau_angles_deg;
  constexpr double usual   = 6;
  return targets.empty() ? usual : *std::min_element(targets.begin(), targets.end(), [&](double a, double b) {
    return std::abs(a - usual) < std::abs(b - usual);
  });
}

/// Draws one picture of joint results and says in the log what came of it.
template <class Picture, class Draw>
void draw_one(const std::string &folder, const std::string &name, Picture picture, Draw draw)
{
  picture.folder  = folder;
  picture.png     = folder + "/pictures/" + name + ".png";
  picture.caution = caution();
  std::string why;
  const bool  drawn = draw(picture, &why);
  report(drawn, picture.png, why);
}

void draw_joints(const std::string &folder, const Scenario &scenario)
{
  if (scenario.levelling.plateau_angles_deg.empty() || !has_repair(scenario, RepairKind::levelling))
    return;
  const double native = scenario.tibia.plateau_angle_deg;
  for (const std::string &activity : scenario.activities)
  {
    viz::JointPicture picture;
    picture.scenario = scenario;
    picture.title    = fmt::format("Forces on the tibia, {}, {:g} % of stance", activity, 50.0);
    picture.panels   = {{"none", native, "intact", "stance", activity, 50},
                        {"none", native, "torn", "stance", activity, 50},
                        {"levelling", usual_target_deg(scenario), "torn", "stance", activity, 50}};
    draw_one(folder, "joint_" + activity, picture, viz::draw_joint);
  }
}

void draw_thrusts(const std::string &folder, const Scenario &scenario)
{
  std::vector<std::string> sets{"stance"}; // always solved
  std::copy_if(scenario.loads.set.begin(), scenario.loads.set.end(), std::back_inserter(sets),
               [](const std::string &set) { return set != "stance"; });
  for (const std::string &set : sets)
  {
    viz::ThrustPicture thrust;
    thrust.load_set   = set;
    thrust.activities = scenario.activities;
    draw_one(folder, set == "stance" ? "thrust" : "thrust_" + set, thrust, viz::draw_thrust);
  }
}

void draw_studies(const std::string &folder, const Scenario &scenario)
{
  const double native = scenario.tibia.plateau_angle_deg, levelled = usual_target_deg(scenario);
  for (const std::string &activity : scenario.activities)
    draw_one(folder, "translation_" + activity, viz::TranslationPicture{{}, {}, activity, native, levelled, {}},
             viz::draw_translation);
  // The drawer pair and the repairs at the middle of walking, or of the first activity where the scenario does not walk.
  const auto       &all = scenario.activities;
  const std::string one = all.empty() || std::find(all.begin(), all.end(), "walk") != all.end() ? "walk" : all.front();
  viz::DrawerPicture drawer;
  drawer.activity     = one;
  drawer.native_deg   = native;
  drawer.levelled_deg = levelled;
  draw_one(folder, "drawer", drawer, viz::draw_drawer);
  draw_one(folder, "posture", viz::PosturePicture{}, viz::draw_posture);
  viz::RepairsPicture repairs;
  repairs.activity     = one;
  repairs.levelled_deg = levelled;
  draw_one(folder, "repairs", repairs, viz::draw_repairs);
}

/// Of every levelled slope: margins on its shape, for which any of its field files serves, and its cut.
void draw_slopes(const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  for (const SlopeResult &slope : slopes)
  {
    if (!slope.operated || !slope.error.empty())
      continue;
    const std::string name = fmt::format("{:+06.2f}", slope.target_deg);
    if (!slope.fields.empty())
      draw_one(folder, "margin_parts_" + name,
               viz::PartMarginPicture{folder + "/" + slope.fields.front().path, {}, {}, slope.target_deg, {}}, viz::draw_part_margins);
    if (!slope.cut_maps.empty())
      draw_one(folder, "cut_map_" + name, viz::CutMapPicture{{}, {}, slope.target_deg, {}}, viz::draw_cut_map);
  }
}

/// Curves over the weeks need more than one.
void draw_healing(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  if (slopes.empty() || scenario.healing.weeks.size() < 2)
    return;
  const double target_deg = usual_target_deg(scenario);
  for (const char *group : {"metal", "bone"})
    draw_one(folder, std::string("margin_yield_") + group, viz::MarginPicture{{}, {}, "yield", group, target_deg, {}},
             viz::draw_margin_weeks);
  draw_one(folder, "margin_all", viz::MarginPicture{{}, {}, "", "", target_deg, {}}, viz::draw_margin_weeks);
  viz::LoadSharePicture share;
  share.activity                 = scenario.activities.empty() ? "walk" : scenario.activities.back();
  share.plateau_angle_target_deg = target_deg;
  draw_one(folder, "load_share", share, viz::draw_load_share);
}

void draw_all(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  viz::VirtualScreen screen;
  if (scenario.rig.on())
    return draw_constructs(folder, slopes);
  draw_thrusts(folder, scenario);
  draw_joints(folder, scenario);
  draw_studies(folder, scenario);
  draw_constructs(folder, slopes);
  draw_slopes(folder, slopes);
  draw_healing(folder, scenario, slopes);
}
} // namespace

void write_pictures(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  list_fields(folder, slopes);
  if (!scenario.output.pictures)
    return;
  std::filesystem::create_directories(folder + "/pictures");
  // In a process of its own: VTK aborts the whole program when its X screen goes away, and the results must not go with it.
  std::fflush(nullptr);
  const pid_t child = fork();
  if (child == 0)
  {
    try
    {
      draw_all(folder, scenario, slopes);
    }
    catch (const std::exception &error)
    {
      log("picture", std::string("left out: ") + error.what());
    }
    std::fflush(nullptr);
    _exit(0);
  }
  int status = 0;
  if (child < 0 || waitpid(child, &status, 0) != child || !WIFEXITED(status) || WEXITSTATUS(status) != 0)
    log("picture", "drawing ended early: some pictures are missing, `stifle report` draws them again; the results are complete");
}
} // namespace stifle::app
