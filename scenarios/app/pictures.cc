#include "scenarios/app/pictures.h"
#include "models/core/log.h"
#include "viz/picture.h"
#include "viz/virtual_screen.h"
#include "viz/vtu.h"
#include <algorithm>
#include <cstdio>
#include <filesystem>
#include <fmt/format.h>
#include <sys/wait.h>
#include <unistd.h>

namespace stifle::app
{
namespace
{
std::string words(const SlopeResult &slope, const FieldFile &field)
{
  return fmt::format("{} {:g} deg, week {:g}, {}, {:g} % of stance",
                     slope.operated ? "Plateau levelled to" : "Unoperated plateau", slope.target_deg, field.week,
                     field.activity, field.percent);
}

void write_field_list(const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  std::vector<viz::PvdEntry> entries;
  for (const SlopeResult &slope : slopes)
    for (const FieldFile &field : slope.fields)
    {
      viz::PvdEntry entry;
      entry.file     = field.path;
      entry.timestep = double(entries.size());
      entry.name     = words(slope, field);
      entry.group    = field.activity;
      entries.push_back(entry);
    }
  if (!entries.empty())
    viz::write_pvd(folder + "/fields.pvd", entries);
}

void report(bool drawn, const std::string &png, const std::string &why)
{
  log("picture", drawn ? png : "left out: " + why);
}

void draw_constructs(const std::string &folder, const std::vector<SlopeResult> &slopes)
{
  for (const SlopeResult &slope : slopes)
    for (const FieldFile &field : slope.fields)
    {
      viz::ConstructPicture picture;
      picture.vtu   = folder + "/" + field.path;
      picture.png   = folder + "/pictures/" + std::filesystem::path(field.path).stem().string() + ".png";
      picture.title = words(slope, field);
      std::string why;
      const bool  drawn = viz::draw_construct(picture, &why);
      report(drawn, picture.png, why);
    }
}

void draw_joints(const std::string &folder, const Scenario &scenario)
{
  const auto &targets = scenario.levelling.plateau_angles_deg;
  const auto &kinds   = scenario.repair.kind;
  if (targets.empty() || std::find(kinds.begin(), kinds.end(), "levelling") == kinds.end())
    return;
  // The target nearest to the usual clinical goal of 5 to 6.5 deg (joint.md section 1).
  const double usual = 6;
  const double after = *std::min_element(targets.begin(), targets.end(), [&](double a, double b) {
    return std::abs(a - usual) < std::abs(b - usual);
  });
  for (const std::string &activity : scenario.activities)
  {
    viz::JointPicture picture;
    picture.folder   = folder;
    picture.scenario = scenario;
    picture.png      = fmt::format("{}/pictures/joint_{}.png", folder, activity);
    picture.title    = fmt::format("Forces on the tibia, {}, {:g} % of stance, ligament torn", activity, 50.0);
    picture.before   = {"none", scenario.tibia.plateau_angle_deg, "torn", "stance", activity, 50};
    picture.after    = {"levelling", after, "torn", "stance", activity, 50};
    std::string why;
    const bool  drawn = viz::draw_joint(picture, &why);
    report(drawn, picture.png, why);
  }
}

void draw_all(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  viz::VirtualScreen screen;
  viz::ThrustPicture thrust;
  thrust.folder     = folder;
  thrust.png        = folder + "/pictures/thrust.png";
  thrust.activities = scenario.activities;
  std::string why;
  const bool  drawn = viz::draw_thrust(thrust, &why);
  report(drawn, thrust.png, why);
  draw_joints(folder, scenario);
  draw_constructs(folder, slopes);
}
} // namespace

void write_pictures(const std::string &folder, const Scenario &scenario, const std::vector<SlopeResult> &slopes)
{
  write_field_list(folder, slopes);
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
