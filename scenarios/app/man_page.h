// scenarios/app/man_page.h - the manual page stifle(1) in roff, made from the declaration of the commands (command_line.h)
#pragma once
#include <CLI/CLI.hpp>
#include <string>

namespace stifle::app
{
std::string man_page(const CLI::App &app);
} // namespace stifle::app
