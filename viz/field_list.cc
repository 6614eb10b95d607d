#include "viz/field_list.h"
#include "models/core/files.h"
#include "viz/markup.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <map>

namespace stifle::viz
{
namespace
{
using SlopeBlocks = std::pair<std::string, std::vector<FieldEntry>>;

std::vector<SlopeBlocks> by_slope(const std::vector<FieldEntry> &entries)
{
  std::vector<SlopeBlocks> slopes;
  for (const FieldEntry &entry : entries)
  {
    auto same = std::find_if(slopes.begin(), slopes.end(), [&](const SlopeBlocks &s) { return s.first == entry.slope; });
    if (same == slopes.end())
      same = slopes.insert(slopes.end(), {entry.slope, {}});
    same->second.push_back(entry);
  }
  return slopes;
}

/// VTK's own writer would write every field again; this only names the files.
std::string blocks_text(const std::vector<FieldEntry> &entries)
{
  std::string text = "<?xml version=\"1.0\"?>\n<VTKFile type=\"vtkMultiBlockDataSet\" version=\"1.0\" byte_order=\"LittleEndian\">\n"
                     "<vtkMultiBlockDataSet>\n";
  std::size_t slope_number = 0;
  for (const auto &[slope, states] : by_slope(entries))
  {
    text += fmt::format("<Block index=\"{}\" name=\"{}\">\n", slope_number++, escaped_html(slope));
    std::size_t number = 0;
    for (const FieldEntry &state : states)
      text += fmt::format("<DataSet index=\"{}\" name=\"{}\" file=\"{}\"/>\n", number++, escaped_html(state.state),
                          escaped_html(std::filesystem::path(state.file).filename().string()));
    text += "</Block>\n";
  }
  return text + "</vtkMultiBlockDataSet>\n</VTKFile>\n";
}
} // namespace

void write_field_list(const std::string &folder, const std::vector<FieldEntry> &entries)
{
  std::map<double, std::vector<FieldEntry>> weeks;
  for (const FieldEntry &entry : entries)
    weeks[entry.week].push_back(entry);
  std::vector<PvdEntry> times;
  for (const auto &[week, states] : weeks)
  {
    const std::string file = fmt::format("fields/week_{:05.2f}.vtm", week);
    write_file(folder + "/" + file, blocks_text(states));
    times.push_back({file, week, fmt::format("week {:g}", week), "weeks after surgery"});
  }
  if (!times.empty())
    write_pvd(folder + "/fields.pvd", times);
}

void write_pvd(const std::string &path, const std::vector<PvdEntry> &entries)
{
  std::string text =
      "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\" byte_order=\"LittleEndian\">\n<Collection>\n";
  for (const PvdEntry &e : entries)
    text += fmt::format("<DataSet timestep=\"{}\" group=\"{}\" name=\"{}\" part=\"0\" file=\"{}\"/>\n", e.timestep,
                        escaped_html(e.group), escaped_html(e.name), escaped_html(e.file));
  write_file(path, text + "</Collection>\n</VTKFile>\n");
}
} // namespace stifle::viz
