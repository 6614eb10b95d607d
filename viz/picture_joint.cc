#include "models/core/error.h"
#include "viz/joint_drawing.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr double panel_width = 690, height = 1040, foot = 104;

std::string describe(const RowKey &key)
{
  return fmt::format("repair {}, {:g}\u00b0, {} {} {:g} %", key.repair, key.plateau_angle_target_deg, key.load_set, key.activity,
                     key.stance_percent);
}

std::string heading(const JointPanel &panel, const std::string &repair, double slope_deg)
{
  const char *operated = repair == "none"        ? "unoperated"
                         : repair == "wedge"     ? "wedge"
                         : repair == "levelling" ? "levelled"
                                                 : repair.c_str();
  return fmt::format("{}, {}: plateau {:.1f}\u00b0", panel.torn ? "torn" : "intact", operated, slope_deg);
}

std::vector<std::string> lines_below(const JointPanel &panel, const JointRows &rows, std::size_t row)
{
  std::vector<std::string> lines;
  lines.push_back(fmt::format("thrust {:.0f} N {}; cranial cruciate {}", std::abs(panel.thrust_n),
                              panel.thrust_n < 0 ? "caudally" : "cranially",
                              panel.torn ? "torn" : fmt::format("{:.0f} N", rows.number(row, "cruciate_cranial_n").value_or(0))));
  if (const auto moved = rows.number(row, "translation_cranial_mm"))
    lines.push_back(std::abs(*moved) < 0.05 ? "tibia where the intact unoperated joint has it"
                                            : fmt::format("tibia {:.1f} mm {} of the intact unoperated joint", std::abs(*moved),
                                                          *moved < 0 ? "caudal" : "cranial"));
  if (const auto hock = rows.number(row, "hock_force_n"))
    lines.push_back(fmt::format("below the picture: foot on tibia at the hock {:.0f} N", *hock));
  return lines;
}

JointPanel read_panel(const JointPicture &picture, const RowKey &key, const JointRows &rows, const JointRows &pose)
{
  JointPanel panel;
  const auto found = rows.find(key);
  panel.points = pose_points(pose, key);
  if (found.empty() || !panel.points.count("femur_origin") || !panel.points.count("patella"))
    throw Error("no solved row for " + describe(key));
  const std::size_t row = found.front();
  panel.shape = joint_shape(picture.scenario, key.repair, key.plateau_angle_target_deg);
  panel.torn = rows.word(row, "ligament") == "torn";
  panel.thrust_n = rows.number(row, "thrust_n").value_or(0);
  panel.stifle_angle_rad = radians(rows.number(row, "stifle_angle_deg").value_or(135));
  panel.heading = heading(panel, key.repair, rows.number(row, "plateau_angle_deg").value_or(key.plateau_angle_target_deg));
  panel.lines = lines_below(panel, rows, row);
  return panel;
}

/// Place of the intact condyle along chord and normal of its plateau, carried over to the plateau of every panel.
void mark_intact_condyle(std::vector<JointPanel> &panels)
{
  const JointPanel &intact = panels.front();
  if (intact.torn || intact.shape.bone.levelling.cut)
    return;
  const Vector3 there = intact.points.at("femur_origin").at - intact.shape.bone.plateau_origin;
  const double along = there.dot(plateau_chord(intact.shape.bone.anatomy)), above = there.dot(plateau_normal(intact.shape.bone.anatomy));
  for (JointPanel &panel : panels)
    panel.intact_condyle =
        panel.shape.bone.plateau_origin + along * plateau_chord(panel.shape.bone.anatomy) + above * plateau_normal(panel.shape.bone.anatomy);
}

/// One scale for all panels.
void set_scale(std::vector<JointPanel> &panels)
{
  double largest = 1;
  for (const JointPanel &panel : panels)
  {
    largest = std::max(largest, std::abs(panel.thrust_n));
    for (const DrawnForce &force : drawn_forces(panel.points))
      largest = std::max(largest, force.force_n.norm());
  }
  const double n_per_mm = force_scale_n_per_mm(largest);
  for (JointPanel &panel : panels)
  {
    panel.mm_per_n = 1 / n_per_mm;
    panel.least_drawn_n = n_per_mm; // an arrow of 1 mm
  }
}

/// Force scale and directions, once for all panels.
void draw_key(Canvas &canvas, const JointPanel &panel)
{
  const double scale = panel_pixels_per_mm(panel), force_n = panel.mm_per_n > 0 ? 10 / panel.mm_per_n : 0, y = 52;
  const TextStyle left{18, ink, AlignX::left, AlignY::centre}, right{18, ink, AlignX::right, AlignY::centre};
  const Pixel from(canvas.width() / 2 - 60, y);
  canvas.arrow(from, from + Pixel(10 * scale, 0), ink, 5);
  canvas.text(from + Pixel(10 * scale + 12, 0), fmt::format("{:g} N", force_n), left);
  canvas.arrow({150, y}, {104, y}, ink, 3);
  canvas.text({96, y}, "cranial", right);
  canvas.arrow({150, y}, {150, y + 46}, ink, 3);
  canvas.text({162, y + 34}, "proximal", left);
}

void draw(const JointPicture &picture, std::vector<JointPanel> panels, bool spatial)
{
  Canvas canvas(int(panel_width * double(panels.size())), int(height));
  set_scale(panels);
  mark_intact_condyle(panels);
  SheetWords words{picture.title, {}, picture.caution};
  words.lines.push_back("forces on the tibia, seen from the medial side of a right limb; bone outlines are a sketch");
  std::string more =
      spatial ? "three-dimensional joint projected on the sagittal plane: newtons at arrows are the sagittal parts; " : "";
  more += fmt::format("forces under {:g} N left out", panels.front().least_drawn_n);
  if (panels.size() > 1 && panels.front().intact_condyle)
    more += "; dashed circle: condyle of the intact joint on this plateau";
  words.lines.push_back(more);
  draw_sheet(canvas, words);
  for (std::size_t i = 0; i < panels.size(); ++i)
  {
    panels[i].low = {10 + double(i) * panel_width, foot};
    panels[i].high = {double(i + 1) * panel_width - 10, height - sheet_head(words) - 8};
    draw_panel(canvas, panels[i]);
  }
  draw_key(canvas, panels.front());
  canvas.save(picture.png);
}
} // namespace

bool draw_joint(const JointPicture &picture, std::string *why)
{
  return try_picture(picture.folder, why,
                     [&]
                     {
                       const JointRows rows(picture.folder + "/joint.csv"), pose(picture.folder + "/joint_pose.csv");
                       if (picture.panels.empty())
                         throw Error("no state was asked for");
                       std::vector<JointPanel> panels;
                       for (const RowKey &key : picture.panels)
                         panels.push_back(read_panel(picture, key, rows, pose));
                       const auto first = rows.find(picture.panels.front());
                       const bool spatial = rows.has("varus_deg") && rows.number(first.front(), "varus_deg");
                       draw(picture, panels, spatial);
                     });
}
} // namespace stifle::viz
