#include "models/core/error.h"
#include "models/margins/yield.h"
#include "models/parts/part_name.h"
#include "viz/construct_view.h"
#include "viz/margin_words.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include "viz/vtu.h"
#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace stifle::viz
{
namespace
{
constexpr int width = 1740, height = 1270;
constexpr double label_left = 660, label_right = 1080, label_height = 92;

/// Dark where little is left; the last class is open upwards.
struct MarginClass
{
  double from;
  double shade;
};
constexpr MarginClass classes[] = {{0, 1}, {least_margin, 0.78}, {adequate_margin, 0.56}, {3, 0.34}, {10, 0.12}};

/// "1 to 1.5", and the verdict below it.
std::string class_words(std::size_t i)
{
  const double from = classes[i].from;
  const bool last = i + 1 == std::size(classes);
  const std::string range = last     ? fmt::format("from {:g} up", from)
                            : i == 0 ? fmt::format("below {:g}", classes[1].from)
                                     : fmt::format("{:g} to {:g}", from, classes[i + 1].from);
  return range + "\n" + verdict(from);
}

Colour margin_colour(double margin)
{
  Colour colour = tint(1);
  for (const MarginClass &c : classes)
    if (margin >= c.from)
      colour = tint(c.shade);
  return colour;
}

struct PartMargin
{
  std::string part, state;
  double margin = 0;
  std::optional<Vector3> place; ///< of the peak, where the row names one
  Vector3 anchor = Vector3::Zero(), middle = Vector3::Zero();
};

/// What, when and in which activity.
std::string state_words(const TableRows &table, std::size_t r)
{
  const std::string mode = spaced(table.word(r, "mode")), activity = spaced(table.word(r, "activity"));
  if (!table.number(r, "stance_percent")) // runs over all weeks; its activity is the diary's name
    return fmt::format("{}, all weeks, diary {}", mode, activity);
  return fmt::format("{}, {}, week {:g}", mode, activity, table.number(r, "week").value_or(0));
}

/// The least row of each metal part, over modes, activities and weeks.
std::vector<PartMargin> read_margins(const PartMarginPicture &picture, bool left_limb)
{
  const TableRows table(picture.folder + "/margins.csv");
  std::vector<PartMargin> all;
  for (const std::size_t r : table.at_slope({}, picture.plateau_angle_target_deg))
  {
    const auto margin = table.number(r, "margin");
    if (!margin || !is_metal(table.word(r, "part")))
      continue;
    PartMargin row{table.word(r, "part"), state_words(table, r), *margin, {}};
    if (const auto x = table.number(r, "x_mm"), y = table.number(r, "y_mm"), z = table.number(r, "z_mm"); x && y && z)
      row.place = Vector3(*x, left_limb ? -*y : *y, *z); // tables are anatomical, the field of a left limb is mirrored
    const auto same = std::find_if(all.begin(), all.end(), [&](const PartMargin &m) { return m.part == row.part; });
    if (same == all.end())
      all.push_back(std::move(row));
    else if (row.margin < same->margin)
      *same = std::move(row);
  }
  return all;
}

/// Where a part is pointed at in the medial view: its medial end; for the plate the least point or the middle.
void find_anchors(const FieldData &field, bool left_limb, std::vector<PartMargin> &all)
{
  for (PartMargin &m : all)
  {
    std::vector<Vector3> points;
    for (std::size_t c = 0; c < field.cells.size(); ++c)
      if (field.part_names[field.part[c]] == m.part)
        for (const unsigned p : field.cells[c])
          points.push_back(field.points_mm[p]);
    if (points.empty())
      throw Error("the field file has no part " + m.part + " of margins.csv");
    const double outwards = left_limb ? -1 : 1;
    double end = -1e300;
    for (const Vector3 &p : points)
      end = std::max(end, outwards * p.y());
    Vector3 sum = Vector3::Zero(), head = Vector3::Zero();
    double n = 0;
    for (const Vector3 &p : points)
    {
      sum += p;
      if (outwards * p.y() > end - 1)
        head += p, n += 1;
    }
    m.middle = sum / double(points.size());
    m.anchor = m.part == "plate" ? m.place.value_or(m.middle) : Vector3(head / n);
  }
}

/// Heights of the labels: as near to their anchors as the room allows, in the same order.
std::vector<double> spread(std::vector<double> wanted, double low, double high)
{
  const double step = std::min(label_height + 14, (high - low) / double(wanted.size()));
  for (std::size_t i = 0; i < wanted.size(); ++i)
    wanted[i] = std::min(wanted[i], i ? wanted[i - 1] - step : high - step / 2);
  double floor = low + step / 2;
  for (std::size_t i = wanted.size(); i-- > 0; floor += step)
    wanted[i] = std::max(wanted[i], floor);
  return wanted;
}

struct Label
{
  const PartMargin &margin;
  double y;
  Pixel left, right; ///< what it points at in either view
  bool least;
};

void draw_label(Canvas &canvas, const Label &label)
{
  const double half = label_height / 2, x = label_left + 62;
  canvas.line({label.left, {label_left, label.y}}, ink, 1.8);
  canvas.line({{label_right, label.y}, label.right}, ink, 1.8);
  canvas.disc(label.left, 6, ink);
  if (label.margin.place)
    canvas.circle(label.right, 9, ink, 3);
  else
    canvas.disc(label.right, 6, ink);
  const Pixel low(label_left, label.y - half), high(label_right, label.y + half);
  canvas.polygon(rectangle(low, high), {{1, 1, 1}});
  canvas.polygon(rectangle(low, {label_left + 48, high.y()}), margin_colour(label.margin.margin));
  canvas.frame(low, high, ink, label.least ? 5 : 1.5);
  const double room = label_right - x - 10;
  const std::string number = fmt::format("{}: {} {}", spaced(label.margin.part), margin_words(label.margin.margin), verdict(label.margin.margin));
  canvas.text({x, label.y + 3}, number, fitted(canvas, number, {25, ink, AlignX::left, AlignY::bottom, true}, room));
  canvas.text({x, label.y - 7}, label.margin.state, fitted(canvas, label.margin.state, {20, ink, AlignX::left, AlignY::top}, room));
}

void draw_classes(Canvas &canvas)
{
  constexpr double each = 190, low = 92 + caution_room, box = 30;
  double left = (width - each * std::size(classes)) / 2;
  canvas.text({width / 2.0, low + box + 8}, "least margin of the part (capacity over demand)", {22, ink, AlignX::centre, AlignY::bottom});
  for (std::size_t i = 0; i < std::size(classes); ++i)
  {
    canvas.polygon(rectangle({left, low}, {left + each, low + box}), tint(classes[i].shade));
    canvas.frame({left, low}, {left + each, low + box}, ink, 1.5);
    canvas.text({left + each / 2, low - 6}, class_words(i), {19, ink, AlignX::centre, AlignY::top});
    left += each;
  }
}

void draw(const PartMarginPicture &picture, const ConstructScene &scene, bool left_limb, std::vector<PartMargin> all)
{
  Canvas canvas(width, height);
  const double bottom = 190 + caution_room, top = height - 150;
  const View medial = medial_view(left_limb, {10, bottom}, {label_left - 30, top}),
             cranial = cranial_view(left_limb, {label_right + 30, bottom}, {width - 10.0, top});
  const double mm_per_pixel = common_scale({medial, cranial}, scene);
  draw_view(canvas, medial, scene, mm_per_pixel);
  draw_view(canvas, cranial, scene, mm_per_pixel);
  draw_scale(canvas, {width - 40.0, bottom + 24}, mm_per_pixel);
  // From the top; of two at one height the one nearer to the labels first, so that no leader crosses the other's head.
  const auto rank = [&](const PartMargin &m)
  {
    const Pixel at = project(medial, scene, mm_per_pixel, m.anchor);
    return at.y() + 0.2 * at.x();
  };
  std::stable_sort(all.begin(), all.end(), [&](const PartMargin &a, const PartMargin &b) { return rank(a) > rank(b); });
  std::vector<double> heights;
  for (const PartMargin &m : all)
    heights.push_back(project(medial, scene, mm_per_pixel, m.anchor).y());
  heights = spread(heights, bottom, top);
  const auto least = std::min_element(all.begin(), all.end(), [](const PartMargin &a, const PartMargin &b) { return a.margin < b.margin; });
  for (std::size_t i = 0; i < all.size(); ++i)
    draw_label(canvas, {all[i], heights[i], project(medial, scene, mm_per_pixel, all[i].anchor),
                        project(cranial, scene, mm_per_pixel, all[i].place.value_or(all[i].middle)), all.begin() + long(i) == least});
  draw_classes(canvas);
  draw_sheet(canvas, {fmt::format("Least margin of plate and screws, plateau levelled to {:g}\u00b0", picture.plateau_angle_target_deg),
                      {fmt::format("{} limb, not deformed; over all modes, activities and weeks of the run; thick frame: the least of all; "
                                   "ring: where the peak was read",
                                   left_limb ? "left" : "right")},
                      picture.caution});
  canvas.save(picture.png);
}
} // namespace

bool draw_part_margins(const PartMarginPicture &picture, std::string *why)
{
  return try_picture(picture.vtu, why,
                     [&]
                     {
                       bool left_limb = false;
                       const FieldData field = read_vtu(picture.vtu, &left_limb);
                       std::vector<PartMargin> all = read_margins(picture, left_limb);
                       if (all.empty())
                         throw Error("margins.csv has no margin of plate or screws at this slope");
                       find_anchors(field, left_limb, all);
                       std::vector<Colour> colours(field.part_names.size(), grey);
                       for (const PartMargin &m : all)
                         for (std::size_t p = 0; p < colours.size(); ++p)
                           if (field.part_names[p] == m.part)
                             colours[p] = margin_colour(m.margin);
                       draw(picture, build_part_scene(field, colours), left_limb, std::move(all));
                     });
}
} // namespace stifle::viz
