// scenarios/app/help_text.h - help of the program or a command from its declaration: at most 80 columns, options aligned
#pragma once
#include <CLI/CLI.hpp>
#include <string>

namespace stifle::app
{
std::string help_text(const CLI::App &app);
/// "stifle run [OPTIONS] FILE"
std::string usage_of(const CLI::App &app);
/// The words of a choice where an option has fixed values: "Which shell: bash, zsh".
std::string meaning_of(const CLI::Option &option);
} // namespace stifle::app
