#include "viz/report_page.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "viz/surface_pack.h"
#include "viz/vtu.h"
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <nlohmann/json.hpp>
#include <vtkBase64Utilities.h>
#include <zlib.h>

namespace fs = std::filesystem;
using nlohmann::json;

namespace stifle::viz
{
namespace
{
/// The tables of a folder, as design.md "Results in DIR" names them.
constexpr const char *tables[] = {"joint.csv",     "joint_pose.csv",  "passive.csv",      "repairs.csv",      "posture.csv",
                                  "opposite.csv",  "wear.csv",        "construct.csv",    "cut.csv",          "screws.csv",
                                  "margins.csv",   "bands.csv",       "sensitivity.csv",  "refine.csv",       "rig.csv",
                                  "summary.json",  "scenario.yaml",   "margin_inputs.csv", "uncertain_inputs.csv"};

std::string block(const std::string &name, const std::string &bytes)
{
  return fmt::format("<script type=\"application/gzip\" data-name=\"{}\">{}</script>\n", escaped_html(name), gzip_base64(bytes));
}

std::string table_blocks(const ReportPage &page)
{
  std::string blocks;
  for (const char *name : tables)
    if (const std::string file = page.folder + "/" + name; fs::exists(file))
      blocks += block(name, read_file(file));
  const std::string own = page.folder + "/validate.csv";
  if (fs::exists(own))
    blocks += block("validate.csv", read_file(own));
  else if (!page.checks.empty())
    blocks += block("validate.csv", read_file(page.checks));
  return blocks;
}

json described(const PackedSurface &surface)
{
  json parts = json::array();
  for (const PackedPart &part : surface.parts)
    parts.push_back({{"name", part.name}, {"first_triangle", part.first_triangle}, {"triangles", part.triangles}});
  const auto numbers = [](const Vector3 &v) { return json::array({v.x(), v.y(), v.z()}); };
  return {{"points", surface.points}, {"triangles", surface.triangles}, {"low", numbers(surface.low)}, {"size", numbers(surface.size)},
          {"parts", parts}};
}

/// Surfaces that several states share stand in the page once.
std::string field_blocks(const ReportPage &page)
{
  std::string blocks;
  std::map<std::string, std::size_t> known; // by their bytes
  json surfaces = json::array(), states = json::array();
  for (const PageState &state : page.states)
  {
    const std::string file = page.folder + "/" + state.path;
    if (!fs::exists(file))
      continue;
    bool mirrored = false;
    const FieldData field = read_vtu(file, &mirrored);
    const SurfacePoints packed = pack_surface(field);
    const auto [entry, is_new] = known.emplace(packed.surface.bytes, surfaces.size());
    if (is_new)
    {
      blocks += block(fmt::format("surface/{}", surfaces.size()), packed.surface.bytes);
      surfaces.push_back(described(packed.surface));
    }
    const PackedField values = pack_field(field, packed.point);
    blocks += block(fmt::format("field/{}", states.size()), values.bytes);
    states.push_back({{"surface", entry->second}, {"words", state.words}, {"file", state.path}, {"target_deg", state.target_deg},
                      {"operated", state.operated}, {"week", state.week}, {"activity", state.activity}, {"percent", state.percent},
                      {"mirrored", mirrored}, {"displacement_unit_mm", values.displacement_unit_mm}});
  }
  return blocks + block("fields.json", json{{"surfaces", surfaces}, {"states", states}}.dump());
}

std::string picture_blocks(const std::string &folder)
{
  std::vector<fs::path> files;
  if (fs::exists(folder + "/pictures"))
    for (const auto &entry : fs::directory_iterator(folder + "/pictures"))
      if (entry.path().extension() == ".png")
        files.push_back(entry.path());
  std::sort(files.begin(), files.end());
  std::string blocks;
  for (const fs::path &file : files)
    blocks += block("pictures/" + file.filename().string(), read_file(file.string()));
  return blocks;
}

void put(std::string &page, const std::string &mark, const std::string &content)
{
  std::size_t at = page.find(mark);
  if (at == std::string::npos)
    throw Error("report: the skeleton of the page lacks " + mark);
  for (; at != std::string::npos; at = page.find(mark, at + content.size()))
    page.replace(at, mark.size(), content);
}
} // namespace

std::string gzip_base64(const std::string &bytes)
{
  z_stream stream{};
  constexpr int window_with_gzip_header = 15 + 16, memory_level = 9;
  if (deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, window_with_gzip_header, memory_level, Z_DEFAULT_STRATEGY) != Z_OK)
    throw Error("report: zlib does not start");
  std::string packed(deflateBound(&stream, bytes.size()), '\0');
  stream.next_in = reinterpret_cast<Bytef *>(const_cast<char *>(bytes.data()));
  stream.avail_in = uInt(bytes.size());
  stream.next_out = reinterpret_cast<Bytef *>(packed.data());
  stream.avail_out = uInt(packed.size());
  const int end = deflate(&stream, Z_FINISH);
  packed.resize(stream.total_out);
  deflateEnd(&stream);
  if (end != Z_STREAM_END)
    throw Error("report: zlib cannot pack the data");
  std::string text(4 * ((packed.size() + 2) / 3) + 4, '\0');
  text.resize(vtkBase64Utilities::Encode(reinterpret_cast<const unsigned char *>(packed.data()), packed.size(),
                                         reinterpret_cast<unsigned char *>(text.data())));
  return text;
}

std::size_t write_report_page(const ReportPage &page)
{
  const std::string script = STIFLE_PAGE_FOLDER "/page.js";
  if (!fs::exists(script))
    throw Error("report: " + script + " is missing; build stifle with npm at hand");
  std::string html = read_file(data_file("viz/page/index.html"));
  const std::string code = read_file(script);
  if (code.find("</script") != std::string::npos || code.find("<!--") != std::string::npos)
    throw Error("report: " + script + " would end its own element");
  put(html, "<!--{{CAUTION}}-->", escaped_html(page.caution));
  put(html, "/*{{STYLE}}*/", read_file(STIFLE_PAGE_FOLDER "/page.css"));
  put(html, "<!--{{FILES}}-->",
      block("facts.json", page.facts) + table_blocks(page) + field_blocks(page) + picture_blocks(page.folder));
  put(html, "/*{{SCRIPT}}*/", code);
  put(html, "<!--{{TITLE}}-->", escaped_html(page.title)); // last: a name may hold one of these marks
  write_file(page.folder + "/report.html", html);
  return html.size();
}
} // namespace stifle::viz
