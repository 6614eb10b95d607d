#include "scenarios/app/pictures.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "models/parts/repair.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/interrupt.h"
#include "scenarios/app/report_html.h"
#include "scenarios/app/stages.h"
#include "viz/field_list.h"
#include "viz/picture.h"
#include "viz/virtual_screen.h"
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <functional>
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

/// One picture: its file, and what draws it (false: not drawn, with the reason).
struct Drawing
{
  std::string png;
  std::function<bool(std::string *why)> draw;
};
using Drawings = std::vector<Drawing>;

void add_constructs(Drawings &all, const std::string &folder, const std::vector<SlopeResult> &slopes)
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
      all.push_back({picture.png, [picture](std::string *why) { return viz::draw_construct(picture, why); }});
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

/// A picture of joint results.
template <class Picture, class Draw>
void add_one(Drawings &all, const std::string &folder, const std::string &name, Picture picture, Draw draw)
{
  picture.folder  = folder;
  picture.png     = folder + "/pictures/" + name + ".png";
  picture.caution = caution();
  all.push_back({picture.png, [picture, draw](std::string *why) { return draw(picture, why); }});
}

void add_joints(Drawings &all, const std::string &folder, const Scenario &scenario)
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
    add_one(all, folder, "joint_" + activity, picture, viz::draw_joint);
  }
}

void add_thrusts(Drawings &all, const std::string &folder, const Scenario &scenario)
{
  std::vector<std::string> sets{"stance"}; // always solved
  std::copy_if(scenario.loads.set.begin(), scenario.loads.set.end(), std::back_inserter(sets),
               [](const std::string &set) { return set != "stance"; });
  for (const std::string &set : sets)
  {
    viz::ThrustPicture thrust;
    thrust.load_set   = set;
    thrust.activities = scenario.activities;
    add_one(all, folder, set == "stance" ? "thrust" : "thrust_" + set, thrust, viz::draw_thrust);
  }
}

void add_studies(Drawings &all, const std::string &folder, const Scenario &scenario)
{
  const double native = scenario.tibia.plateau_angle_deg, levelled = usual_target_deg(scenario);
  for (const std::string &activity : scenario.activities)
    add_one(all, folder, "translation_" + activity, viz::TranslationPicture{{}, {}, activity, native, levelled, {}},
             viz::draw_translation);
  // The drawer pair and the repairs at the middle of walking, or of the first activity where the scenario does not walk.
  const auto       &names = scenario.activities;
  const std::string one = names.empty() || std::find(names.begin(), names.end(), "walk") != names.end() ? "walk" : names.front();
  viz::DrawerPicture drawer;
  drawer.activity     = one;
  drawer.native_deg   = native;
  drawer.levelled_deg = levelled;
  add_one(all, folder, "drawer", drawer, viz::draw_drawer);
  add_one(all, folder, "posture", viz::PosturePicture{}, viz::draw_posture);
  viz::RepairsPicture repairs;
  repairs.activity     = one;
  repairs.levelled_deg = levelled;
  add_one(all, folder, "repairs", repairs, viz::draw_repairs);
}

/// Of every levelled slope: margins on its shape, for which any of its field files serves, and its cut.
void add_slopes(Drawings &all, const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  for (const SlopeResult &slope : slopes)
  {
    if (!slope.operated || !slope.error.empty())
      continue;
    const std::string name = fmt::format("{:+06.2f}", slope.target_deg);
    if (!slope.fields.empty())
      add_one(all, folder, "margin_parts_" + name,
               viz::PartMarginPicture{folder + "/" + slope.fields.front().path, {}, {}, slope.target_deg, {}}, viz::draw_part_margins);
    if (!slope.cut_maps.empty())
      add_one(all, folder, "cut_map_" + name, viz::CutMapPicture{{}, {}, slope.target_deg, {}}, viz::draw_cut_map);
  }
}

/// Curves over the weeks need more than one.
void add_healing(Drawings &all, const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  if (slopes.empty() || scenario.healing.weeks.size() < 2)
    return;
  const double target_deg = usual_target_deg(scenario);
  for (const char *group : {"metal", "bone"})
    add_one(all, folder, std::string("margin_yield_") + group, viz::MarginPicture{{}, {}, "yield", group, target_deg, {}},
             viz::draw_margin_weeks);
  add_one(all, folder, "margin_all", viz::MarginPicture{{}, {}, "", "", target_deg, {}}, viz::draw_margin_weeks);
  viz::LoadSharePicture share;
  share.activity                 = scenario.activities.empty() ? "walk" : scenario.activities.back();
  share.plateau_angle_target_deg = target_deg;
  add_one(all, folder, "load_share", share, viz::draw_load_share);
}

Drawings all_drawings(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  Drawings all;
  if (!scenario.rig.on())
  {
    add_thrusts(all, folder, scenario);
    add_joints(all, folder, scenario);
    add_studies(all, folder, scenario);
  }
  add_constructs(all, folder, slopes);
  if (!scenario.rig.on())
  {
    add_slopes(all, folder, slopes);
    add_healing(all, folder, scenario, slopes);
  }
  return all;
}

/// One line a picture: empty when it is drawn, else why not.
void draw_all(const Drawings &all, int results)
{
  viz::VirtualScreen screen;
  for (const Drawing &drawing : all)
  {
    std::string why;
    try
    {
      if (drawing.draw(&why))
        why.clear();
      else if (why.empty())
        why = "no reason given";
    }
    catch (const std::exception &error)
    {
      why = error.what();
    }
    dprintf(results, "%s\n", shown(why, 400).c_str());
  }
}

/// In a process of its own: VTK aborts the whole program when its X screen goes away, and the results must not go with it.
struct Painter
{
  pid_t child   = -1;
  FILE *results = nullptr;
};

Painter start_painter(const Drawings &all)
{
  int ends[2];
  if (pipe2(ends, O_CLOEXEC) != 0) // so that a virtual screen that stays behind does not hold it open
    return {};
  std::fflush(nullptr);
  const pid_t child = fork();
  if (child == 0)
  {
    _exit(failure_of([&] { draw_all(all, ends[1]); }).empty() ? 0 : 1);
  }
  close(ends[1]);
  return {child, fdopen(ends[0], "r")};
}

/// Follows the painter; the number of pictures drawn. Pictures it did not come to are named together.
std::size_t follow_painter(const Painter &painter, const Drawings &all, Stage &stage)
{
  std::size_t told = 0, drawn = 0, capacity = 0;
  char       *line = nullptr;
  std::string before;
  stage.say(all.empty() ? "" : std::filesystem::path(all.front().png).filename().string());
  for (; painter.results != nullptr && told < all.size() && getline(&line, &capacity, painter.results) > 0; ++told)
  {
    const std::string png = all[told].png, name = std::filesystem::path(png).filename().string();
    const std::string why = std::string(line).substr(0, std::strcspn(line, "\n"));
    if (why.empty())
      log("picture", png);
    else
      log(why == before ? "picture" : "warning", "picture left out: " + name + ": " + why); // one reason is said once on the screen
    before = why;
    drawn += why.empty();
    stage.add(1);
    if (told + 1 < all.size())
      stage.say(std::filesystem::path(all[told + 1].png).filename().string());
  }
  std::free(line);
  if (painter.results != nullptr)
    std::fclose(painter.results);
  return drawn;
}
} // namespace

void write_pictures(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  list_fields(folder, slopes);
  if (!scenario.output.pictures)
    return;
  std::filesystem::create_directories(folder + "/pictures");
  const Drawings    all = all_drawings(folder, scenario, slopes);
  Stage             stage("pictures", double(all.size()));
  const Painter     painter = start_painter(all);
  const std::size_t drawn   = follow_painter(painter, all, stage);
  int               status  = 0;
  if (painter.child < 0 || waitpid(painter.child, &status, 0) != painter.child || !WIFEXITED(status) || WEXITSTATUS(status) != 0)
    log("warning", "drawing ended early: some pictures are missing, `stifle report` draws them again; the results are complete");
  stage.end(fmt::format("{} pictures{}", drawn, drawn < all.size() ? fmt::format(", {} left out", all.size() - drawn) : ""));
}
} // namespace stifle::app
