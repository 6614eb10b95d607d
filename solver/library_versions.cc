#include "solver/library_versions.h"
#include <cholmod.h>
#include <deal.II/base/config.h>
#include <metis.h>

extern "C" char *openblas_get_config();

namespace stifle::solver
{
std::vector<std::pair<std::string, std::string>> library_versions()
{
  const auto dotted = [](int a, int b, int c) {
    return std::to_string(a) + "." + std::to_string(b) + "." + std::to_string(c);
  };
  return {{"deal.II", DEAL_II_PACKAGE_VERSION},
          {"CHOLMOD", dotted(CHOLMOD_MAIN_VERSION, CHOLMOD_SUB_VERSION, CHOLMOD_SUBSUB_VERSION)},
          {"METIS", dotted(METIS_VER_MAJOR, METIS_VER_MINOR, METIS_VER_SUBMINOR)},
          {"BLAS", openblas_get_config()}};
}
} // namespace stifle::solver
