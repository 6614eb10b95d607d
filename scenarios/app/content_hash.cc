#include "scenarios/app/content_hash.h"
#include "models/core/study_variants.h"
#include <fstream>
#include <iterator>

namespace stifle::app
{
std::string content(const std::string &path)
{
  std::ifstream file(path, std::ios::binary);
  return std::string(std::istreambuf_iterator<char>(file), {});
}

std::uint64_t content_hash(const std::string &text, std::uint64_t value) { return fnv(text, value); }
} // namespace stifle::app
