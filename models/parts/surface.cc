#include "models/parts/surface.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/parts/triangle_distance.h"
#include <algorithm>
#include <charconv>
#include <cstdint>
#include <cstring>
#include <filesystem>
#include <fmt/format.h>
#include <limits>
#include <unordered_map>

namespace stifle
{
namespace
{
constexpr std::size_t header_bytes = 84, triangle_bytes = 50;

[[noreturn]] void refuse(const std::string &file, int line, const std::string &message, const std::string &found = "",
                         const std::string &allowed = "")
{
  throw InputError({InputProblem{file, line, line > 0 ? 1 : 0, message, found, allowed, "", ""}});
}

/// Merges equal points; -0 equals 0.
class SurfaceBuilder
{
public:
  int add(double x, double y, double z)
  {
    const Key key{x + 0.0, y + 0.0, z + 0.0};
    const auto [place, is_new] = known_.try_emplace(key, int(surface.points.size()));
    if (is_new)
      surface.points.emplace_back(key[0], key[1], key[2]);
    return place->second;
  }
  TriangleSurface surface;

private:
  using Key = std::array<double, 3>;
  struct Hash
  {
    std::size_t operator()(const Key &key) const
    {
      std::uint64_t sum = 0;
      for (const double number : key)
      {
        std::uint64_t bits = 0;
        std::memcpy(&bits, &number, sizeof bits);
        sum = (sum ^ bits) * 0x9e3779b97f4a7c15ull;
        sum ^= sum >> 29;
      }
      return std::size_t(sum);
    }
  };
  std::unordered_map<Key, int, Hash> known_;
};

std::uint32_t little_endian(const char *bytes)
{
  const auto *b = reinterpret_cast<const unsigned char *>(bytes);
  return b[0] | b[1] << 8 | b[2] << 16 | std::uint32_t(b[3]) << 24;
}
double coordinate(const char *bytes)
{
  const std::uint32_t bits = little_endian(bytes);
  float number = 0;
  std::memcpy(&number, &bits, sizeof number);
  return number;
}

TriangleSurface parse_binary(const std::string &bytes, const std::string &file)
{
  const std::size_t n = (bytes.size() - header_bytes) / triangle_bytes;
  SurfaceBuilder builder;
  builder.surface.triangles.reserve(n);
  for (std::size_t t = 0; t < n; ++t)
  {
    const char *corner = bytes.data() + header_bytes + t * triangle_bytes + 12;
    std::array<int, 3> triangle{};
    for (int &index : triangle)
    {
      const double x = coordinate(corner), y = coordinate(corner + 4), z = coordinate(corner + 8);
      if (!std::isfinite(x) || !std::isfinite(y) || !std::isfinite(z))
        refuse(file, 0, fmt::format("triangle {} has a corner that is not finite", t + 1), fmt::format("{}, {}, {}", x, y, z));
      index = builder.add(x, y, z);
      corner += 12;
    }
    builder.surface.triangles.push_back(triangle);
  }
  return std::move(builder.surface);
}

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f'; }

/// Words of an ASCII file, in small letters, with their line.
class Words
{
public:
  explicit Words(const std::string &bytes) : bytes_(bytes) {}
  /// Empty at the end.
  std::string next()
  {
    while (at_ < bytes_.size() && (is_space(bytes_[at_]) || bytes_[at_] == '\n'))
      line_ += bytes_[at_++] == '\n';
    const std::size_t first = at_;
    while (at_ < bytes_.size() && !is_space(bytes_[at_]) && bytes_[at_] != '\n')
      ++at_;
    std::string word = bytes_.substr(first, at_ - first);
    for (char &c : word)
      c = c >= 'A' && c <= 'Z' ? char(c + 32) : c;
    return word;
  }
  void skip_line() { at_ = std::min(bytes_.find('\n', at_), bytes_.size()); }
  int line() const { return line_; }

private:
  const std::string &bytes_;
  std::size_t at_ = 0;
  int line_ = 1;
};

class AsciiStl
{
public:
  AsciiStl(const std::string &bytes, const std::string &file) : words_(bytes), file_(file) {}
  TriangleSurface read()
  {
    expect("solid");
    words_.skip_line();
    for (std::string word = words_.next(); !word.empty(); word = words_.next())
      if (word == "facet")
        facet();
      else if (word == "endsolid" || word == "solid")
        words_.skip_line();
      else
        wrong(word, "facet or endsolid");
    return std::move(builder_.surface);
  }

private:
  [[noreturn]] void wrong(const std::string &found, const std::string &allowed)
  {
    refuse(file_, words_.line(), "this is no ASCII STL", found.empty() ? "end of the file" : found, allowed);
  }
  void expect(const std::string &keyword)
  {
    const std::string word = words_.next();
    if (word != keyword)
      wrong(word, keyword);
  }
  double number(bool may_be_any)
  {
    const std::string word = words_.next();
    const char *first = word.data() + (!word.empty() && word[0] == '+'), *last = word.data() + word.size();
    double value = 0;
    const auto [end, error] = std::from_chars(first, last, value);
    if (word.empty() || end != last || error == std::errc::invalid_argument)
      wrong(word, "a number");
    if (!may_be_any && (error != std::errc() || !std::isfinite(value)))
      refuse(file_, words_.line(), fmt::format("triangle {} has a corner that is not finite", n_triangles() + 1), word);
    return value;
  }
  /// The normal is read over: many writers leave it zero or not a number.
  void facet()
  {
    if (n_triangles() == max_surface_triangles)
      refuse(file_, words_.line(), "the surface has too many triangles", "", fmt::format("at most {}", max_surface_triangles));
    expect("normal");
    for (int i = 0; i < 3; ++i)
      number(true);
    expect("outer");
    expect("loop");
    std::array<int, 3> triangle{};
    for (int &index : triangle)
    {
      expect("vertex");
      const double x = number(false), y = number(false), z = number(false);
      index = builder_.add(x, y, z);
    }
    expect("endloop");
    expect("endfacet");
    builder_.surface.triangles.push_back(triangle);
  }
  std::size_t n_triangles() const { return builder_.surface.triangles.size(); }

  Words words_;
  std::string file_;
  SurfaceBuilder builder_;
};
} // namespace

TriangleSurface parse_stl(const std::string &bytes, const std::string &file)
{
  if (bytes.empty())
    refuse(file, 0, "the file is empty", "", "an STL file");
  const std::size_t stated = bytes.size() >= header_bytes ? little_endian(bytes.data() + 80) : 0;
  if (bytes.size() >= header_bytes && bytes.size() == header_bytes + triangle_bytes * stated)
  {
    if (stated > max_surface_triangles)
      refuse(file, 0, "the surface has too many triangles", std::to_string(stated),
             fmt::format("at most {}", max_surface_triangles));
    return parse_binary(bytes, file);
  }
  if (Words(bytes).next() == "solid" && bytes.find('\0') == std::string::npos)
    return AsciiStl(bytes, file).read();
  if (bytes.size() < header_bytes)
    refuse(file, 0, "this is no STL file", fmt::format("{} bytes", bytes.size()),
           "the word solid, or a header of 84 bytes and 50 bytes a triangle");
  refuse(file, 0, "the size does not fit the number of triangles in the header: cut off, or no STL file",
         fmt::format("{} triangles, {} bytes", stated, bytes.size()), fmt::format("{} bytes", header_bytes + 50 * stated));
}

TriangleSurface read_stl(const std::string &file)
{
  std::error_code error;
  const auto bytes = std::filesystem::file_size(file, error);
  if (!error && bytes > max_surface_bytes)
    refuse(file, 0, "the file is too large", fmt::format("{} bytes", bytes), fmt::format("at most {}", max_surface_bytes));
  return parse_stl(read_file(file), file);
}

double surface_area_mm2(const TriangleSurface &surface)
{
  double area = 0;
  for (const auto &[a, b, c] : surface.triangles)
    area += 0.5 * (surface.points[b] - surface.points[a]).cross(surface.points[c] - surface.points[a]).norm();
  return area;
}

double distance_mm(const TriangleSurface &surface, const Vector3 &from)
{
  double nearest = std::numeric_limits<double>::infinity(); // squared
  for (const auto &[a, b, c] : surface.triangles)
  {
    const Vector3 point = nearest_on_triangle(from, surface.points[a], surface.points[b], surface.points[c]).point;
    nearest = std::min(nearest, (point - from).squaredNorm());
  }
  return std::sqrt(nearest);
}
} // namespace stifle
