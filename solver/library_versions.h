// solver/library_versions.h - versions of the libraries behind the solver
#pragma once
#include <string>
#include <utility>
#include <vector>

namespace stifle::solver
{
std::vector<std::pair<std::string, std::string>> library_versions();
} // namespace stifle::solver
