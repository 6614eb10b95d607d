// scenarios/app/main.cc - the command line: names, help and exit codes; the work is behind commands.h
#include "models/core/error.h"
#include "models/core/nearest.h"
#include "scenarios/app/commands.h"
#include "scenarios/app/versions.h"
#include <CLI/CLI.hpp>
#include <algorithm>
#include <functional>
#include <new>
#include <thread>

namespace
{
using namespace stifle;
using namespace stifle::app;

constexpr int done = 0, computation_failed = 1, bad_input = 2;

struct Arguments
{
  RunOptions               run;
  std::string              only, file, path, folder, table;
  std::vector<std::string> checks;
};

/// The command the user chose, filled by the parser, run after parsing.
using Command = std::function<int()>;

void add_run(CLI::App &app, Arguments &a, Command &chosen)
{
  a.run.threads = int(std::clamp(std::thread::hardware_concurrency(), 1u, 256u));
  CLI::App *run = app.add_subcommand("run", "Everything the scenario asks; takes up what an earlier run finished");
  run->add_option("FILE", a.run.file, "Scenario (YAML); see stifle keys")->required();
  run->add_option("--out", a.run.out, "Folder for the results [out/<name of FILE>]");
  run->add_option("--threads", a.run.threads, "Cases computed side by side, 1 to 256")
      ->check(CLI::Range(1, 256))
      ->capture_default_str();
  CLI::Option *only = run->add_option("--only", a.only, "Stop after a step: joint")->check(CLI::IsMember({"joint"}));
  run->add_flag("--refine", a.run.refine, "Solve the worst state again on a finer mesh: how far its peaks are from settled")->excludes(only);
  run->callback([&] {
    chosen = [&a] {
      a.run.only_joint = a.only == "joint";
      check_results_folder(a.run.out);
      return run_command(a.run);
    };
  });
}

void add_scenario_commands(CLI::App &app, Arguments &a, Command &chosen)
{
  CLI::App *check = app.add_subcommand("check", "Reads and validates a scenario, computes nothing");
  check->add_option("FILE", a.file, "Scenario (YAML)")->required();
  check->callback([&] { chosen = [&a] { return check_command(a.file); }; });

  CLI::App *keys = app.add_subcommand("keys", "Every key: default, range, unit, meaning, source");
  keys->add_option("PATH", a.path, "Section or key, such as plate or plate.width_mm");
  keys->callback([&] { chosen = [&a] { return keys_command(a.path); }; });

  CLI::App *create = app.add_subcommand("new", "Writes a commented scenario; never overwrites");
  create->add_option("FILE", a.file, "New file")->required();
  create->callback([&] { chosen = [&a] { return new_command(a.file); }; });
}

void add_result_commands(CLI::App &app, Arguments &a, Command &chosen)
{
  CLI::App *report = app.add_subcommand("report", "Rebuilds pictures and report from results");
  report->add_option("DIR", a.folder, "Folder of a finished run")->required();
  report->callback([&] { chosen = [&a] { return report_command(a.folder); }; });

  CLI::App *validate = app.add_subcommand("validate", "Runs the check cases and prints the table");
  validate->add_option("ID", a.checks, "Cases such as J1 C4; all when left out");
  validate->add_option("--out", a.table, "Also writes the table to this file (CSV)");
  validate->callback([&] { chosen = [&a] { return validate_command(a.checks, a.table); }; });
}

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
  for (const CLI::App *command : app.get_subcommands([](const CLI::App *) { return true; }))
    known.push_back(command->get_name());
  if (std::find(known.begin(), known.end(), word) != known.end())
    return false;
  say(bad_input, InputError({InputProblem{"stifle", 0, 0, "unknown command '" + shown(word, 40) + "'", word, join(known),
                                          nearest_word(word, known), ""}}).what());
  return true;
}

int run_chosen(const Command &chosen)
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
} // namespace

int main(int argc, char **argv)
{
  CLI::App  app{"stifle - a dog's knee from the paw on the ground to the stress in the plate"};
  Arguments arguments;
  Command   chosen;
  app.name("stifle");
  app.footer(caution() + "\nExit code: 0 done, 1 a computation failed, 2 bad input, 130 interrupted.");
  app.set_version_flag("--version", "stifle " + program_version());
  app.require_subcommand(1);
  add_run(app, arguments, chosen);
  add_scenario_commands(app, arguments, chosen);
  add_result_commands(app, arguments, chosen);
  if (argc > 1 && names_unknown_command(app, argv[1]))
    return bad_input;
  try
  {
    app.parse(argc, argv);
  }
  catch (const CLI::ParseError &error)
  {
    return app.exit(error) == 0 ? done : bad_input;
  }
  return run_chosen(chosen);
}
