#include "models/core/peak_memory.h"
#include <fstream>
#include <string>

namespace stifle
{
double peak_memory_mb()
{
  std::ifstream status("/proc/self/status");
  for (std::string line; std::getline(status, line);)
    if (line.rfind("VmHWM:", 0) == 0)
      return std::stod(line.substr(6)) / 1024.0;
  return 0;
}
} // namespace stifle
