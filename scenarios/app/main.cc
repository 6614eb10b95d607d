// scenarios/app/main.cc - parses the command line (command_line.h), runs the command, turns failures into exit codes
#include "models/core/error.h"
#include "models/core/nearest.h"
#include "scenarios/app/command_line.h"
#include "scenarios/app/mesh_store.h"
#include "scenarios/app/run_events.h"
#include "scenarios/app/stages.h"
#include "solver/cg_workers.h"
#include <algorithm>
#include <new>

namespace
{
using namespace stifle;
using namespace stifle::app;

constexpr int done = 0, computation_failed = 1, bad_input = 2;

int say(int code, const std::string &text)
{
  std::fflush(stdout);
  std::fprintf(stderr, "%s\n", text.c_str());
  return code;
}

/// CLI11 would only say that a command is missing.
bool names_unknown_command(const CLI::App &app, const std::string &word)
{
  if (word.empty() || word[0] == '-')
    return false;
  std::vector<std::string> known;
  for (const CLI::App *command : commands_of(app))
    known.push_back(command->get_name());
  if (std::find(known.begin(), known.end(), word) != known.end())
    return false;
  say(bad_input, InputError({InputProblem{"stifle", 0, 0, "unknown command '" + shown(word, 40) + "'", word, join(known),
                                          nearest_word(word, known), ""}}).what());
  return true;
}

int run_chosen(const std::function<int()> &chosen)
{
  try
  {
    return chosen();
  }
  catch (const InputError &error)
  {
    return say(bad_input, error.what());
  }
  catch (const Error &error)
  {
    return say(computation_failed, "stifle: " + shown(error.what(), 2000));
  }
  catch (const std::bad_alloc &)
  {
    return say(computation_failed, "stifle: not enough memory; coarser mesh.bone_size_mm or fewer --threads need less");
  }
  catch (const std::exception &error)
  {
    return say(computation_failed, "stifle: unexpected failure: " + shown(error.what(), 2000));
  }
}

/// The processes that wait for work end with this one, however it ends.
struct SendHome
{
  ~SendHome() { solver::dismiss_cg(); }
};

/// A script that asked for JSON is told in JSON what is wrong with its command line.
void tell_bad_usage(int argc, char **argv, const std::string &message)
{
  if (!std::any_of(argv, argv + argc, [](const char *word) { return std::string(word) == "--json"; }))
    return;
  const Screen screen(Show::json);
  tell_bad_input({InputProblem{"command line", 0, 0, shown(message, 400), "", "see stifle run --help", "", ""}}, "");
}
} // namespace

int main(int argc, char **argv)
{
  if (argc == 3 && std::string(argv[1]) == "mesh-slope") // not for users: see mesh_store.h
    return run_chosen([&] { return mesh_slope_command(argv[2]); });
  if (solver::process_number() > 0) // of mpirun: helps the first one, see cg_workers.h
    return run_chosen([] { return solver::serve_cg(), done; });
  const SendHome send_home;
  set_mesh_program("/proc/self/exe");
  CommandLine line;
  if (argc > 1 && names_unknown_command(line.app, argv[1]))
    return bad_input;
  try
  {
    line.app.parse(argc, argv);
  }
  catch (const CLI::ParseError &error)
  {
    if (error.get_exit_code() != 0)
      tell_bad_usage(argc, argv, error.what());
    return line.app.exit(error) == 0 ? done : bad_input;
  }
  return run_chosen(line.chosen);
}
