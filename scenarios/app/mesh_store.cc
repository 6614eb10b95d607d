#include "scenarios/app/mesh_store.h"
#include "mesh/mesh_file.h"
#include "models/core/content_hash.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/log.h"
#include "models/core/parameter_list.h"
#include "scenarios/app/construct_tier.h"
#include "scenarios/app/interrupt.h"
#include <algorithm>
#include <chrono>
#include <csignal>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <set>
#include <spawn.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace stifle::app
{
namespace
{
namespace fs = std::filesystem;
std::string mesh_program;

/// No mesh reads them. What of them moves the bone is among the landmarks and the cut.
bool read_by_a_mesh(const DeclaredKey &key)
{
  static const std::set<std::string> sections = {"",       "dog",    "joint",       "loads",   "limb",       "repair",  "levelling", "wedge",
                                                 "suture", "advancement", "passive", "radiograph", "healing", "study",     "output"};
  static const std::set<std::string> keys     = {"tibia.cortex_law", "tibia.cancellous_law", "plate.material", "screws.material"};
  return sections.count(key.section) == 0 && keys.count(key.path()) == 0;
}

std::string numbers(const Anatomy &a, const Levelling &l)
{
  std::string text;
  for (const double x : {a.tibia_length_mm, a.plateau_angle_rad, a.plateau_radius_mm, a.plateau_half_length_mm, a.condyle_offset_mm,
                         a.condyle_width_mm, l.target_angle_rad, l.achieved_angle_rad, l.rotation_rad, l.radius_mm, l.chord_mm,
                         l.tuberosity_width_mm, l.safe_rotation_rad})
    text += fmt::format("{} ", x);
  for (const Vector3 &x : {a.hock_centre, a.tendon_insertion, l.centre})
    text += fmt::format("{} {} {} ", x.x(), x.y(), x.z());
  return text + fmt::format("{} {}", static_cast<int>(l.shape), l.cut);
}

/// Runs `mesh-slope` to its end; false when it made no mesh, or there is no such program.
bool meshed_elsewhere(const std::string &request)
{
  if (mesh_program.empty())
    return false;
  posix_spawn_file_actions_t quiet;
  posix_spawn_file_actions_init(&quiet);
  posix_spawn_file_actions_addopen(&quiet, STDOUT_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawn_file_actions_addopen(&quiet, STDERR_FILENO, "/dev/null", O_WRONLY, 0);
  posix_spawnattr_t through; // our own mask holds the signals back that end it
  sigset_t          none;
  sigemptyset(&none);
  posix_spawnattr_init(&through);
  posix_spawnattr_setsigmask(&through, &none);
  posix_spawnattr_setflags(&through, POSIX_SPAWN_SETSIGMASK);
  std::string   command = "mesh-slope", file = request;
  char         *arguments[] = {mesh_program.data(), command.data(), file.data(), nullptr};
  pid_t         child       = 0;
  const bool    started     = posix_spawn(&child, mesh_program.c_str(), &quiet, &through, arguments, environ) == 0;
  posix_spawnattr_destroy(&through);
  posix_spawn_file_actions_destroy(&quiet);
  int status = 0;
  while (started && waitpid(child, &status, WNOHANG) == 0)
  {
    if (interrupted())
      kill(child, SIGTERM);
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  stop_if_interrupted();
  return started && WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

std::optional<mesh::ConstructMesh> kept_mesh(const std::string &file)
{
  if (!fs::exists(file))
    return std::nullopt;
  try
  {
    return mesh::read_mesh(file);
  }
  catch (const Error &error)
  {
    log("warning", fmt::format("{}: meshed anew", error.what()));
    return std::nullopt;
  }
}
} // namespace

void set_mesh_program(const std::string &path) { mesh_program = path; }

std::string mesh_hash(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling)
{
  Scenario      copy  = scenario;
  std::uint64_t value = content_hash(numbers(anatomy, levelling), program_hash());
  for (const DeclaredKey &key : declared_keys(copy))
    if (read_by_a_mesh(key))
      value = content_hash(key.path() + "=" + value_text(key.value) + "\n", value);
  for (const auto &file : {scenario.tibia.surface, scenario.tibia.inner_surface, scenario.plate.file})
    if (file)
      value = content_hash(content(*file), value);
  return fmt::format("{:016x}", value);
}

StoredMesh stored_mesh(const MeshOrder &order, std::mutex &mesher)
{
  const std::string hash = mesh_hash(order.scenario, order.anatomy, order.levelling);
  const std::string file = order.folder + "/" + hash + ".mesh", request = order.folder + "/" + hash + ".yaml";
  if (auto kept = kept_mesh(file))
    return {std::move(*kept), true};
  fs::create_directories(order.folder);
  if (order.own_process)
  {
    write_file(request, echo_scenario(order.scenario));
    const bool made = meshed_elsewhere(request);
    fs::remove(request);
    if (auto kept = made ? kept_mesh(file) : std::nullopt)
      return {std::move(*kept), false};
  }
  const std::lock_guard<std::mutex> lock(mesher);
  stop_if_interrupted();
  StoredMesh result{mesh::mesh_construct(order.scenario, order.anatomy, order.levelling), false};
  mesh::write_mesh(result.construct, file);
  return result;
}

int mesh_slope_command(const std::string &request)
{
  const Scenario    scenario = read_scenario(request);
  const Anatomy     anatomy  = make_anatomy(scenario);
  const fs::path    path(request);
  for (const Levelling &levelling : slopes_of(scenario))
    if (mesh_hash(scenario, anatomy, levelling) == path.stem().string())
    {
      mesh::write_mesh(mesh::mesh_construct(scenario, anatomy, levelling), fs::path(path).replace_extension(".mesh").string());
      return 0;
    }
  return 1;
}
} // namespace stifle::app
