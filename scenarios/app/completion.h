// scenarios/app/completion.h - what a shell needs to complete `stifle`, made from its declaration (command_line.h)
//   commands, options, fixed values; FILE as *.yaml and *.yml, CSV as *.csv, DIR as folders, KEY and ID from what this program knows
#pragma once
#include <CLI/CLI.hpp>
#include <string>

namespace stifle::app
{
std::string bash_completion(const CLI::App &app);
std::string zsh_completion(const CLI::App &app); ///< starts with #compdef: a file _stifle of $fpath, or sourced after compinit
} // namespace stifle::app
