#include "viz/field_blocks.h"
#include "viz/still.h"
#include "viz/surface_pack.h"
#include "viz/vtu.h"
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>

namespace fs = std::filesystem;
using nlohmann::json;

namespace stifle::viz
{
namespace
{
constexpr int still_width = 1400; // pixels; a printed page is 1000 wide

json described(const PackedSurface &surface)
{
  json parts = json::array();
  for (const PackedPart &part : surface.parts)
    parts.push_back({{"name", part.name}, {"first_triangle", part.first_triangle}, {"triangles", part.triangles}});
  const auto numbers = [](const Vector3 &v) { return json::array({v.x(), v.y(), v.z()}); };
  return {{"points", surface.points}, {"triangles", surface.triangles}, {"low", numbers(surface.low)}, {"size", numbers(surface.size)},
          {"parts", parts}};
}

class FieldBlocks
{
public:
  explicit FieldBlocks(const std::string &folder) : folder_(folder) {}

  void add(const PageState &state)
  {
    if (!fs::exists(folder_ + "/" + state.path))
      return;
    auto known = files_.find(state.path);
    if (known == files_.end())
      known = files_.emplace(state.path, packed(state.path)).first;
    json entry = known->second;
    entry.update({{"words", state.words}, {"file", state.path}, {"target_deg", state.target_deg}, {"operated", state.operated},
                  {"week", state.week}, {"activity", state.activity}, {"percent", state.percent}});
    states_.push_back(entry);
  }

  std::vector<std::pair<std::string, std::string>> all()
  {
    blocks_.emplace_back("fields.json", json{{"surfaces", surfaces_}, {"states", states_}}.dump());
    return std::move(blocks_);
  }

private:
  /// Which blocks hold the file.
  json packed(const std::string &path)
  {
    bool mirrored = false;
    const FieldData field = read_vtu(folder_ + "/" + path, &mirrored);
    const SurfacePoints points = pack_surface(field);
    const PackedField values = pack_field(field, points.point);
    const std::size_t number = files_.size();
    blocks_.emplace_back(fmt::format("field/{}", number), values.bytes);
    json entry = {{"field", number}, {"surface", surface_number(points.surface)}, {"mirrored", mirrored},
                  {"displacement_unit_mm", values.displacement_unit_mm}, {"still", nullptr}};
    const std::string png = folder_ + "/pictures/" + fs::path(path).stem().string() + ".png";
    if (fs::exists(png))
    {
      entry["still"] = fmt::format("still/{}.jpg", number);
      blocks_.emplace_back(entry["still"], small_jpeg(png, still_width));
    }
    return entry;
  }

  std::size_t surface_number(const PackedSurface &surface)
  {
    const auto [entry, is_new] = known_.emplace(surface.bytes, surfaces_.size());
    if (is_new)
    {
      blocks_.emplace_back(fmt::format("surface/{}", entry->second), surface.bytes);
      surfaces_.push_back(described(surface));
    }
    return entry->second;
  }

  std::string folder_;
  std::map<std::string, json> files_;
  std::map<std::string, std::size_t> known_; // surfaces by their bytes
  json surfaces_ = json::array(), states_ = json::array();
  std::vector<std::pair<std::string, std::string>> blocks_;
};
} // namespace

std::vector<std::pair<std::string, std::string>> field_blocks(const std::string &folder, const std::vector<PageState> &states)
{
  FieldBlocks blocks(folder);
  for (const PageState &state : states)
    blocks.add(state);
  return blocks.all();
}
} // namespace stifle::viz
