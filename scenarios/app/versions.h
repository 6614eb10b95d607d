// scenarios/app/versions.h - versions of the program and its libraries, for summary.json, --version and the log
#pragma once
#include <string>
#include <utility>
#include <vector>

namespace stifle::app
{
std::string program_version();
std::vector<std::pair<std::string, std::string>> program_versions();
} // namespace stifle::app
