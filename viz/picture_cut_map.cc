#include "models/core/error.h"
#include "viz/chart.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/table_rows.h"
#include "viz/try_picture.h"
#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1700, columns = 3;
constexpr std::size_t most_panels = 6;
constexpr double side = 40, head_room = 108, foot_room = 230, hatch_step = 14; // pixels
constexpr int n_classes = 6;
constexpr Colour hatch_colour = {{0.35, 0.37, 0.40}};

struct Face
{
  std::array<Pixel, 3> corners; ///< mm: along the arc, mediolateral
  double compression = 0;       ///< MPa, contact and callus together, >= 0
  bool open = false;
};

struct Week
{
  std::string week, activity, percent;
  std::vector<Face> faces;
  double area = 0, touching = 0, sliding = 0, slide_mm = 0, contact_n = 0, callus_n = 0; ///< mm^2; N of compression
};

double need(const TableRows &table, std::size_t row, const std::string &column)
{
  const auto value = table.number(row, column);
  if (!value)
    throw Error("an empty or broken cell in column " + column);
  return *value;
}

void add_face(Week &week, const TableRows &table, std::size_t r)
{
  const double area = need(table, r, "area_mm2"), pressure = need(table, r, "pressure_mpa"), callus = need(table, r, "callus_mpa");
  Face face;
  for (int i = 0; i < 3; ++i)
    face.corners[i] = {need(table, r, fmt::format("arc_{}_mm", i + 1)), need(table, r, fmt::format("y_{}_mm", i + 1))};
  face.compression = std::max(0.0, pressure + callus);
  face.open = table.word(r, "state") == "open";
  week.faces.push_back(face);
  week.area += area;
  week.touching += area * need(table, r, "contact_percent") / 100;
  week.sliding += table.word(r, "state") == "slip" ? area : 0;
  week.slide_mm = std::max(week.slide_mm, need(table, r, "slip_mm"));
  week.contact_n += area * pressure;
  week.callus_n += area * callus;
}

/// Of more weeks than fit, evenly chosen ones with the first and the last.
std::vector<std::string> chosen(const std::vector<std::string> &weeks)
{
  if (weeks.size() <= most_panels)
    return weeks;
  std::vector<std::string> some;
  for (std::size_t i = 0; i < most_panels; ++i)
    some.push_back(weeks[(i * (weeks.size() - 1) + (most_panels - 1) / 2) / (most_panels - 1)]);
  return some;
}

std::vector<Week> read_weeks(const CutMapPicture &picture)
{
  const TableRows table(picture.folder + "/cut_map.csv");
  const auto rows = table.at_slope({}, picture.plateau_angle_target_deg);
  std::vector<Week> weeks;
  for (const std::string &name : chosen(table.words(rows, "week")))
  {
    Week week;
    week.week = name;
    for (const std::size_t r : rows)
      if (table.word(r, "week") == name)
      {
        week.activity = spaced(table.word(r, "activity"));
        week.percent = table.word(r, "stance_percent");
        add_face(week, table, r);
      }
    weeks.push_back(std::move(week));
  }
  return weeks;
}

/// Where each class of colour begins, MPa: 0 and five steps of 1, 2, 5. The last class holds about the largest 2 % of the faces:
/// steps of one size would show the rim alone, which bears ten times what the core does.
std::array<double, n_classes> classes_of(const std::vector<Week> &weeks)
{
  std::vector<double> all;
  for (const Week &week : weeks)
    for (const Face &face : week.faces)
      all.push_back(face.compression);
  std::sort(all.begin(), all.end());
  const double most = all[std::size_t(0.98 * double(all.size() - 1))], top = most > 0 ? most : std::max(all.back(), 1e-9);
  const std::vector<double> ticks = log_ticks(round_down_125(top) / 100, round_down_125(top)); // at least six
  std::array<double, n_classes> from{};
  std::copy(ticks.end() - (n_classes - 1), ticks.end(), from.begin() + 1);
  return from;
}

Colour class_colour(int k) { return tint((k + 0.35) / n_classes); }

/// Lines x + y = whole steps inside a triangle.
void hatch(Canvas &canvas, const std::array<Pixel, 3> &t)
{
  const auto level = [](const Pixel &p) { return (p.x() + p.y()) / hatch_step; };
  const auto [least, most] = std::minmax({level(t[0]), level(t[1]), level(t[2])});
  for (double k = std::ceil(least); k <= most; ++k)
  {
    Pixels ends;
    for (int i = 0; i < 3; ++i)
    {
      const double a = level(t[i]), b = level(t[(i + 1) % 3]);
      if ((a - k) * (b - k) < 0)
        ends.push_back(t[i] + (t[(i + 1) % 3] - t[i]) * (k - a) / (b - a));
    }
    if (ends.size() == 2)
      canvas.line(ends, hatch_colour, 1.2);
  }
}

struct Frame
{
  Pixel low, high; ///< mm over all weeks
  double pixels_per_mm;
  std::array<double, n_classes> from_mpa;

  int class_of(double mpa) const { return int(std::upper_bound(from_mpa.begin(), from_mpa.end(), mpa) - from_mpa.begin()) - 1; }
};

void draw_faces(Canvas &canvas, const Pixel &corner, const Frame &frame, const Week &week)
{
  const Face *most = &week.faces.front();
  for (const Face &face : week.faces)
  {
    std::array<Pixel, 3> at;
    for (int i = 0; i < 3; ++i)
      at[i] = corner + (face.corners[i] - frame.low) * frame.pixels_per_mm;
    canvas.polygon({at.begin(), at.end()}, class_colour(frame.class_of(face.compression)));
    if (face.open)
      hatch(canvas, at);
    if (face.compression > most->compression)
      most = &face;
  }
  if (most->compression <= 0)
    return;
  const Pixel middle = corner + ((most->corners[0] + most->corners[1] + most->corners[2]) / 3 - frame.low) * frame.pixels_per_mm;
  const bool right = middle.x() < corner.x() + (frame.high - frame.low).x() * frame.pixels_per_mm / 2;
  canvas.circle(middle, 10, {{1, 1, 1}}, 6);
  canvas.circle(middle, 10, ink, 3);
  canvas.text(middle + Pixel(right ? 18 : -18, 0), fmt::format("{:.3g} MPa", most->compression),
              {19, ink, right ? AlignX::left : AlignX::right, AlignY::centre, true, false, true});
}

void draw_panel(Canvas &canvas, const Pixel &corner, const Frame &frame, const Week &week)
{
  draw_faces(canvas, corner, frame, week);
  const Pixel size = (frame.high - frame.low) * frame.pixels_per_mm;
  const double x = corner.x() + size.x() / 2, y = corner.y() + size.y();
  const auto write = [&](double up, const std::string &words, bool bold) {
    canvas.text({x, y + up}, words, fitted(canvas, words, {bold ? 22.0 : 19.0, ink, AlignX::centre, AlignY::bottom, bold}, size.x() + side));
  };
  const double percent = 100 * week.touching / week.area;
  write(68, fmt::format("week {}: {:.{}f} % of the area touches", week.week, percent, percent > 0 && percent < 10 ? 1 : 0), true);
  const std::string slides =
      week.touching > 0 ? fmt::format("; {:.0f} % slides, by up to {:.2g} mm", 100 * week.sliding / week.area, week.slide_mm) : "";
  write(40, fmt::format("{}, {} % of stance{}", week.activity, week.percent, slides), false);
  write(12, fmt::format("contact bears {:.0f} N, callus {:.0f} N", week.contact_n, week.callus_n), false);
}

void draw_key(Canvas &canvas, const Frame &frame)
{
  constexpr double each = 120, low = 92 + caution_room, box = 28, hatched = 150;
  double left = (width - each * n_classes - hatched - 60) / 2;
  canvas.text({left + each * n_classes / 2, low + box + 8}, "compression across the cut, MPa",
              {21, ink, AlignX::centre, AlignY::bottom});
  for (int k = 0; k < n_classes; ++k, left += each)
  {
    canvas.polygon(rectangle({left, low}, {left + each, low + box}), class_colour(k));
    canvas.frame({left, low}, {left + each, low + box}, ink, 1.5);
    canvas.text({left, low - 8}, fmt::format("{:.3g}", frame.from_mpa[k]), {20, ink, AlignX::centre, AlignY::top});
  }
  canvas.text({left, low - 8}, "more", {20, ink, AlignX::centre, AlignY::top});
  left += 60;
  const Pixels shape = rectangle({left, low}, {left + hatched, low + box});
  hatch(canvas, {shape[0], shape[1], shape[2]});
  hatch(canvas, {shape[0], shape[2], shape[3]});
  canvas.frame(shape[0], shape[2], ink, 1.5);
  canvas.text({left + hatched / 2, low + box + 8}, "does not touch", {21, ink, AlignX::centre, AlignY::bottom});
  canvas.text({width / 2.0, low - 40},
              "ring: largest value of the week, mean of a face. Dark under hatching: callus bears it without contact",
              {18, ink, AlignX::centre, AlignY::top});
}

/// Caudal left, cranial right, medial up; a length in the corner.
void draw_sides(Canvas &canvas, const Pixel &corner, const Frame &frame)
{
  const Pixel size = (frame.high - frame.low) * frame.pixels_per_mm;
  const TextStyle small{18, ink, AlignX::left, AlignY::top};
  TextStyle right = small, upright = small;
  right.x = AlignX::right;
  canvas.text(corner + Pixel(0, -10), "\u2190 caudal", small);
  canvas.text(corner + Pixel(size.x(), -10), "cranial \u2192", right);
  upright.upright = true;
  upright.x = AlignX::centre;
  upright.y = AlignY::centre;
  canvas.text(corner + Pixel(-16, size.y() / 2), "medial \u2192", upright);
  const Pixel middle = corner + Pixel(size.x() / 2, -18), half(5 * frame.pixels_per_mm, 0);
  canvas.line({middle - half, middle + half}, ink, 3);
  for (const Pixel &end : {Pixel(middle - half), Pixel(middle + half)})
    canvas.line({end - Pixel(0, 6), end + Pixel(0, 6)}, ink, 2);
  canvas.text(middle - Pixel(0, 10), "10 mm", {17, ink, AlignX::centre, AlignY::top});
}

Frame frame_of(const std::vector<Week> &weeks)
{
  Frame frame{Pixel(1e300, 1e300), Pixel(-1e300, -1e300), 1, classes_of(weeks)};
  for (const Week &week : weeks)
    for (const Face &face : week.faces)
      for (const Pixel &p : face.corners)
        frame.low = frame.low.cwiseMin(p), frame.high = frame.high.cwiseMax(p);
  const Pixel size = (frame.high - frame.low).cwiseMax(Pixel(1, 1));
  frame.pixels_per_mm = std::min((width - 60.0) / columns - 2 * side, 480.0) / std::max(size.x(), size.y());
  return frame;
}

void draw(const CutMapPicture &picture, const std::vector<Week> &weeks)
{
  const Frame frame = frame_of(weeks);
  const SheetWords words{fmt::format("The cut by week, plateau levelled to {:g}\u00b0", picture.plateau_angle_target_deg),
                         {"the face of the distal side rolled out along the saw's arc; in each week the state with the largest force at the hock"},
                         picture.caution};
  const Pixel size = (frame.high - frame.low) * frame.pixels_per_mm;
  const std::size_t lines = (weeks.size() + columns - 1) / columns, across = std::min<std::size_t>(weeks.size(), columns);
  const double each_y = size.y() + head_room + 60, each_x = (width - 60.0) / double(columns);
  Canvas canvas(width, int(sheet_head(words) + each_y * double(lines) + foot_room));
  for (std::size_t i = 0; i < weeks.size(); ++i)
  {
    const double left = (width - each_x * double(across)) / 2 + each_x * (double(i % columns) + 0.5) - size.x() / 2;
    const Pixel corner(left, canvas.height() - sheet_head(words) - each_y * double(i / columns) - head_room - size.y());
    draw_panel(canvas, corner, frame, weeks[i]);
    draw_sides(canvas, corner, frame);
  }
  draw_key(canvas, frame);
  draw_sheet(canvas, words);
  canvas.save(picture.png);
}
} // namespace

bool draw_cut_map(const CutMapPicture &picture, std::string *why)
{
  return try_picture(picture.folder + "/cut_map.csv", why,
                     [&]
                     {
                       const std::vector<Week> weeks = read_weeks(picture);
                       if (weeks.empty())
                         throw Error("no faces of a cut at this slope");
                       draw(picture, weeks);
                     });
}
} // namespace stifle::viz
