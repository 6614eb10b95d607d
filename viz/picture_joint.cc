#include "models/core/error.h"
#include "viz/joint_drawing.h"
#include "viz/picture.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1640, height = 1180;

/// Bone outlines of a row: repair none is a dog with that native slope, levelling turns the proximal segment of this dog.
void set_bone(const Scenario &scenario, const RowKey &key, JointPanel &panel)
{
  Scenario dog = scenario;
  if (key.repair == "none")
    dog.tibia.plateau_angle_deg = key.plateau_angle_target_deg;
  panel.whole = make_anatomy(dog);
  panel.bone =
      operate(panel.whole, key.repair == "none" ? no_levelling(panel.whole)
                                                : plan_levelling(dog, panel.whole, radians(key.plateau_angle_target_deg)));
}

std::string describe(const RowKey &key)
{
  return fmt::format("repair {}, {:g}\u00b0, {} {} {:g} %", key.repair, key.plateau_angle_target_deg, key.load_set, key.activity,
                     key.stance_percent);
}

JointPanel read_panel(const JointPicture &picture, const RowKey &key, const JointRows &rows, const JointRows &pose)
{
  JointPanel panel;
  const auto found = rows.find(key);
  panel.points = pose_points(pose, key);
  if (found.empty() || !panel.points.count("femur_origin") || !panel.points.count("patella"))
    throw Error("no solved row for " + describe(key));
  const std::size_t row = found.front();
  const auto number = [&](const char *column) { return rows.number(row, column); };
  set_bone(picture.scenario, key, panel);
  panel.torn = rows.word(row, "ligament") == "torn";
  panel.thrust_n = number("thrust_n").value_or(0);
  panel.stifle_angle_rad = radians(number("stifle_angle_deg").value_or(135));
  panel.heading = fmt::format("{}: plateau {:.1f}\u00b0", key.repair == "none" ? "unoperated" : "levelled",
                              number("plateau_angle_deg").value_or(key.plateau_angle_target_deg));
  panel.lines.push_back(fmt::format("thrust {:.0f} N {}; cranial cruciate {}", std::abs(panel.thrust_n),
                                    panel.thrust_n < 0 ? "caudally" : "cranially",
                                    panel.torn ? "torn" : fmt::format("{:.0f} N", number("cruciate_cranial_n").value_or(0))));
  if (const auto moved = number("translation_cranial_mm"))
    panel.lines.push_back(std::abs(*moved) < 0.05 ? "tibia where the intact unoperated joint has it"
                                                  : fmt::format("tibia {:.1f} mm {} of the intact unoperated joint",
                                                                std::abs(*moved), *moved < 0 ? "caudal" : "cranial"));
  if (const auto hock = number("hock_force_n"))
    panel.lines.push_back(fmt::format("below the picture: foot on tibia at the hock {:.0f} N", *hock));
  return panel;
}

double largest_force(const JointPanel &panel)
{
  double largest = std::abs(panel.thrust_n);
  for (const auto &[name, point] : panel.points)
    if (name != "hock" && name != "centre_of_pressure" && name != "ground")
      largest = std::max(largest, point.force_n.norm() * (name.rfind("contact", 0) == 0 ? 2 : 1));
  return largest;
}

/// Force scale and directions, once for both panels.
void draw_key(Canvas &canvas, const JointPanel &panel)
{
  const double scale = panel_pixels_per_mm(panel), force_n = panel.mm_per_n > 0 ? 10 / panel.mm_per_n : 0;
  const Pixel from(width / 2.0 - scale * 5, 16), origin(width / 2.0 + 20, height - 220.0);
  canvas.arrow(from, from + Pixel(10 * scale, 0), ink, 5);
  canvas.text(from + Pixel(5 * scale, 12), fmt::format("{:g} N", force_n), {18, ink, AlignX::centre, AlignY::bottom});
  canvas.arrow(origin, origin + Pixel(-46, 0), ink, 3);
  canvas.arrow(origin, origin + Pixel(0, 46), ink, 3);
  canvas.text(origin + Pixel(-24, -8), "cranial", {18, ink, AlignX::centre, AlignY::top});
  canvas.text(origin + Pixel(0, 52), "proximal", {18, ink, AlignX::centre, AlignY::bottom});
}

void draw(const JointPicture &picture, std::vector<JointPanel> panels)
{
  Canvas canvas(width, height);
  double largest = 1;
  for (const JointPanel &panel : panels)
    largest = std::max(largest, largest_force(panel));
  const double rough = largest / 50, power = std::pow(10.0, std::floor(std::log10(rough))), lead = rough / power;
  const double n_per_mm = (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * power; // the largest arrow at most 50 mm of bone
  for (std::size_t i = 0; i < panels.size(); ++i)
  {
    panels[i].low = {20 + i * (width / 2.0), 50};
    panels[i].high = {width / 2.0 - 20 + i * (width / 2.0), height - 110.0};
    panels[i].mm_per_n = 1 / n_per_mm;
    draw_panel(canvas, panels[i]);
  }
  draw_key(canvas, panels.front());
  canvas.text({width / 2.0, height - 16.0}, picture.title, {28, ink, AlignX::centre, AlignY::top, true});
  canvas.text({width / 2.0, height - 60.0},
              "forces on the tibia, seen from the medial side of a right limb; bone outlines are a sketch",
              {19, ink, AlignX::centre, AlignY::top});
  canvas.save(picture.png);
}
} // namespace

bool draw_joint(const JointPicture &picture, std::string *why)
{
  return try_picture(picture.folder, why, [&] {
    const JointRows rows(picture.folder + "/joint.csv"), pose(picture.folder + "/joint_pose.csv");
    std::vector<JointPanel> panels;
    for (const RowKey &key : {picture.before, picture.after})
      panels.push_back(read_panel(picture, key, rows, pose));
    draw(picture, panels);
  });
}
} // namespace stifle::viz
