#include "models/core/content_hash.h"
#include <fstream>
#include <iterator>

namespace stifle
{
std::string content(const std::string &path)
{
  std::ifstream file(path, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(file), {});
}

std::uint64_t content_hash(const std::string &text, std::uint64_t value)
{
  for (const unsigned char c : text)
    value = (value ^ c) * 1099511628211ull;
  return value;
}

std::uint64_t program_hash()
{
  static const std::uint64_t program = content_hash(content("/proc/self/exe"));
  return program;
}
} // namespace stifle
