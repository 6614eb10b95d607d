// scenarios/app/command_line.h - the commands and options of `stifle`, declared once: parsing, help, completion and man page read them
//   type_name  of an option says what completes it: FILE a scenario, DIR a folder, CSV a table, KEY a key of a scenario, ID a check
//              case; fixed values come from CLI::IsMember
//   footer     of a command: lines that begin with two spaces are typed or printed as they stand (help_text.h)
#pragma once
#include "scenarios/app/commands.h"
#include <CLI/CLI.hpp>
#include <functional>

namespace stifle::app
{
class CommandLine
{
public:
  CommandLine();
  CommandLine(const CommandLine &) = delete;
  CommandLine &operator=(const CommandLine &) = delete;

  CLI::App             app;
  std::function<int()> chosen; ///< the command the user chose, filled by parsing, run afterwards: the exit code

private:
  CLI::App *add(const std::string &name, const std::string &sentence, const std::string &footer, std::function<int()> work);
  void add_run();
  void add_scenario_commands();
  void add_result_commands();
  void add_shell_commands();

  RunOptions               run_;
  std::string              only_, file_, path_, folder_, table_, shell_;
  std::vector<std::string> checks_;
  bool                     markdown_ = false;
};

/// Values that an option allows, empty when it is free.
std::vector<std::string> fixed_values(const CLI::Option &option);
/// FILE, DIR, ...: the type without its checks.
std::string type_of(const CLI::Option &option);
/// "-h, --help", "--out DIR", "FILE", "--only joint".
std::string option_words(const CLI::Option &option);
/// Options with a dash, in the order of declaration.
std::vector<const CLI::Option *> dashed_options(const CLI::App &app);
std::vector<const CLI::Option *> positionals(const CLI::App &app);
std::vector<const CLI::App *>    commands_of(const CLI::App &app);
} // namespace stifle::app
