#include "scenarios/app/versions.h"
#include "solver/library_versions.h"
#include "viz/vtk_version.h"
#include <Eigen/Core>
#include <fmt/core.h>

namespace stifle::app
{
std::string program_version() { return STIFLE_VERSION; }

std::vector<std::pair<std::string, std::string>> program_versions()
{
  std::vector<std::pair<std::string, std::string>> versions = {{"stifle", program_version()}};
  for (const auto &entry : solver::library_versions())
    versions.push_back(entry);
  versions.emplace_back("Eigen", fmt::format("{}.{}.{}", EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION, EIGEN_MINOR_VERSION));
  versions.emplace_back("VTK", viz::vtk_version());
  versions.emplace_back("compiler", __VERSION__);
  return versions;
}
} // namespace stifle::app
