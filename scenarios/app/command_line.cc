#include "scenarios/app/command_line.h"
#include "scenarios/app/completion.h"
#include "scenarios/app/help_text.h"
#include "scenarios/app/man_page.h"
#include "scenarios/app/versions.h"
#include "solver/construct_model.h"
#include <algorithm>
#include <cstdio>
#include <fmt/format.h>
#include <thread>

namespace stifle::app
{
namespace
{
const char *const exit_codes = "Exit code: 0 done, 1 a computation failed, 2 bad input, 130 interrupted.";

std::string footer(const std::string &example, const std::string &words)
{
  return "Example:\n  " + example + "\n\n" + words;
}

int print(const std::string &text)
{
  std::fputs(text.c_str(), stdout);
  return std::fflush(stdout) == 0 ? 0 : 1;
}
} // namespace

CommandLine::CommandLine() : app("stifle - a dog's knee from the paw on the ground to the stress in the plate")
{
  run_.threads = int(std::clamp(std::thread::hardware_concurrency(), 1u, 256u));
  app.name("stifle");
  app.formatter_fn([](const CLI::App *which, const std::string &, CLI::AppFormatMode) { return help_text(*which); });
  app.set_help_flag("-h,--help", "This help; stifle COMMAND --help tells more");
  app.set_version_flag("--version", "stifle " + program_version(), "Version of the program");
  app.footer("Example:\n  stifle new my_dog.yaml\n  stifle check my_dog.yaml\n  stifle run my_dog.yaml --out out/my_dog\n\n" +
             std::string(exit_codes) + "\n\n" + caution());
  app.require_subcommand(1);
  add_run();
  add_scenario_commands();
  add_result_commands();
  add_shell_commands();
}

CLI::App *CommandLine::add(const std::string &name, const std::string &sentence, const std::string &footer,
                           std::function<int()> work)
{
  CLI::App *command = app.add_subcommand(name, sentence);
  command->set_help_flag("-h,--help", "This help");
  command->footer(footer);
  command->callback([this, work = std::move(work)] { chosen = work; });
  return command;
}

void CommandLine::add_run()
{
  CLI::App *run = add("run", "Computes everything the scenario asks for; takes up what an earlier run finished",
                      footer("stifle run scenarios/large_dog.yaml --out out/large_dog",
                             "On a terminal each stage has one line that is rewritten in place, with the part that is done, the time it took "
                             "and about what is left. Elsewhere there is one line when a stage ends. Warnings and errors go to standard error, "
                             "the closing text to standard output, every detail to log.txt in the folder.\n\n"
                             "Exit code: 0 done, 1 a slope or state failed (the others stand), 2 bad input (nothing computed), 130 interrupted "
                             "(the same command takes up)."),
                      [this] {
                        run_.only_joint = only_ == "joint";
                        return run_command(run_);
                      });
  run->add_option("FILE", run_.file, "Scenario (YAML); see stifle keys")->required()->type_name("FILE");
  run->add_option("--out", run_.out, "Folder for the results; out/NAME of the scenario when left out")->type_name("DIR");
  run->add_option("--threads", run_.threads, "Cases computed side by side, 1 to 256; one a processor when left out")
      ->check(CLI::Range(1, 256))
      ->type_name("N");
  run->add_option("--solver", run_.solver,
                  fmt::format("Of the construct's equations: direct (Cholesky factor), cg (conjugate gradients with algebraic multigrid: less "
                              "memory, every state costs a solve) or auto (cg above {} unknowns)", solver::cg_above_unknowns))
      ->check(CLI::IsMember({"direct", "cg", "auto"}))
      ->type_name("SOLVER");
  CLI::Option *only = run->add_option("--only", only_, "Stop after this step")->check(CLI::IsMember({"joint"}))->type_name("STEP");
  run->add_flag("--refine", run_.refine, "Solve the worst state again on a finer mesh: how far its peaks are from settled")->excludes(only);
  run->add_flag("--no-wait", run_.no_wait,
                "End when every case is finished or claimed by another run on this folder, instead of waiting for the others (array jobs)");
  run->add_flag("--json", run_.json, "Progress as one JSON object a line on standard output, and nothing else there");
}

void CommandLine::add_scenario_commands()
{
  CLI::App *check = add("check", "Reads and validates a scenario and its geometry; computes nothing",
                        footer("stifle check my_dog.yaml", "Every problem is shown with file, line and column, what stands there, what is allowed "
                                                           "and the nearest known word.\n\nExit code: 0 it can be run, 2 bad input."),
                        [this] { return check_command(file_); });
  check->add_option("FILE", file_, "Scenario (YAML)")->required()->type_name("FILE");

  CLI::App *keys = add("keys", "Explains the keys of a scenario: default, range, unit, meaning, source",
                       footer("stifle keys plate.width_mm", "Exit code: 0 done, 2 no such key."),
                       [this] { return keys_command(path_, markdown_); });
  keys->add_option("PATH", path_, "Section or key, such as plate or plate.width_mm; all when left out")->type_name("KEY");
  keys->add_flag("--markdown", markdown_, "A table for each section (scenarios/KEYS.md is made so)");

  CLI::App *create = add("new", "Writes a commented scenario with every key; never overwrites",
                         footer("stifle new my_dog.yaml", "Exit code: 0 written, 2 the file exists or its folder does not."),
                         [this] { return new_command(file_); });
  create->add_option("FILE", file_, "New file")->required()->type_name("FILE");
}

void CommandLine::add_result_commands()
{
  CLI::App *report = add("report", "Draws the pictures and the report page of a results folder anew",
                         footer("stifle report out/large_dog", "Reads the tables and fields of the folder, computes nothing and changes no number.\n\n"
                                                               "Exit code: 0 done, 2 the folder holds no results."),
                         [this] { return report_command(folder_); });
  report->add_option("DIR", folder_, "Folder of a finished run")->required()->type_name("DIR");

  CLI::App *validate = add("validate", "Runs the check cases and prints computed beside expected values",
                           footer("stifle validate J3 C7 --out table.csv", "Exit code: 0 every row of level V holds, 1 one fails, 2 no such case."),
                           [this] { return validate_command(checks_, table_); });
  validate->add_option("ID", checks_, "Cases such as J1 C4; all when left out")->type_name("ID");
  validate->add_option("--out", table_, "Also writes the table to this file")->type_name("CSV");
}

void CommandLine::add_shell_commands()
{
  CLI::App *completion =
      add("completion", "Prints what the shell needs to complete commands, options, files and keys",
          footer("stifle completion bash > ~/.local/share/bash-completion/completions/stifle",
                 "For zsh: write it to a file _stifle in a folder of $fpath, before compinit.\n\nExit code: 0 done."),
          [this] { return print(shell_ == "zsh" ? zsh_completion(app) : bash_completion(app)); });
  completion->add_option("SHELL", shell_, "Which shell")->required()->check(CLI::IsMember({"bash", "zsh"}))->type_name("SHELL");

  add("man", "Prints the manual page (roff)", footer("stifle man | man -l -", "Exit code: 0 done."),
      [this] { return print(man_page(app)); });
}

std::vector<std::string> fixed_values(const CLI::Option &option)
{
  const std::string        type  = option.get_type_name(); // "STEP:{joint}": what CLI::IsMember says of itself
  const std::size_t        open  = type.find(":{"), close = type.rfind('}');
  std::vector<std::string> values;
  if (open == std::string::npos || close == std::string::npos)
    return values;
  for (const std::string &value : CLI::detail::split(type.substr(open + 2, close - open - 2), ','))
    values.push_back(value);
  return values;
}

std::string type_of(const CLI::Option &option)
{
  const std::string type = option.get_type_name();
  return type.substr(0, type.find(':'));
}

std::string option_words(const CLI::Option &option)
{
  const auto  values = fixed_values(option);
  std::string name   = option.get_positional() ? option.get_name(true) : fmt::format("{}", fmt::join(CLI::detail::split(option.get_name(false, true), ','), ", "));
  if (option.get_positional())
    name = (option.get_required() ? name : "[" + name + "]") + (option.get_items_expected_max() > 1 ? "..." : "");
  else if (option.get_items_expected_max() > 0)
    name += " " + (values.empty() ? type_of(option) : fmt::format("{}", fmt::join(values, "|")));
  return name;
}

std::vector<const CLI::Option *> dashed_options(const CLI::App &app)
{
  return app.get_options([](const CLI::Option *option) { return option->nonpositional(); });
}

std::vector<const CLI::Option *> positionals(const CLI::App &app)
{
  return app.get_options([](const CLI::Option *option) { return option->get_positional(); });
}

std::vector<const CLI::App *> commands_of(const CLI::App &app)
{
  return app.get_subcommands([](const CLI::App *) { return true; });
}
} // namespace stifle::app
