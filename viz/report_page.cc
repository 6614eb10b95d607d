#include "viz/report_page.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "viz/field_blocks.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <set>
#include <vtkBase64Utilities.h>
#include <zlib.h>

namespace fs = std::filesystem;

namespace stifle::viz
{
namespace
{
/// The tables of a folder, as design.md "Results in DIR" names them.
constexpr const char *tables[] = {"joint.csv",     "joint_pose.csv",  "passive.csv",      "repairs.csv",      "posture.csv",
                                  "posture_pose.csv",
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
  for (const auto &[name, bytes] : field_blocks(page.folder, page.states))
    blocks += block(name, bytes);
  return blocks;
}

using Marks = std::vector<std::pair<std::string, std::string>>;

/// The skeleton with its marks filled in one pass: a mark that stands in a content stays text.
std::string filled(const std::string &skeleton, const Marks &marks)
{
  std::string html;
  std::set<std::string> seen;
  for (std::size_t at = 0; at < skeleton.size();)
  {
    const auto mark = std::find_if(marks.begin(), marks.end(), [&](const auto &m) { return skeleton.compare(at, m.first.size(), m.first) == 0; });
    html += mark == marks.end() ? std::string(1, skeleton[at]) : mark->second;
    at += mark == marks.end() ? 1 : mark->first.size();
    if (mark != marks.end())
      seen.insert(mark->first);
  }
  for (const auto &[mark, content] : marks)
    if (seen.count(mark) == 0)
      throw Error("report: the skeleton of the page lacks " + mark);
  return html;
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
  const std::string code = read_file(script);
  if (code.find("</script") != std::string::npos || code.find("<!--") != std::string::npos)
    throw Error("report: " + script + " would end its own element");
  const std::string html = filled(read_file(data_file("viz/page/index.html")),
                                  {{"<!--{{CAUTION}}-->", escaped_html(page.caution)},
                                   {"<!--{{TITLE}}-->", escaped_html(page.title)},
                                   {"/*{{STYLE}}*/", read_file(STIFLE_PAGE_FOLDER "/page.css")},
                                   {"<!--{{FILES}}-->", block("facts.json", page.facts) + table_blocks(page)},
                                   {"/*{{SCRIPT}}*/", code}});
  write_file(page.folder + "/report.html", html);
  return html.size();
}
} // namespace stifle::viz
