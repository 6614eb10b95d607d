#include "models/parts/radiograph.h"
#include "models/core/yaml_node.h"
#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <vector>

namespace stifle
{
namespace
{
// What can be a stifle (assumption: wide limits that a swapped, mirrored or mistyped point leaves).
constexpr double least_distance_mm = 1;
constexpr double steepest_plateau_deg = 60, least_tendon_deg = 60, most_tendon_deg = 140;
constexpr double shortest_tibia_mm = 40, longest_tibia_mm = 400;
constexpr double least_plateau_part = 0.05, most_plateau_part = 0.4; ///< of the length of the tibia
constexpr double most_part_off = 0.4;                                ///< tuberosity, patella: off the intercondylar point

const std::vector<std::string> needed_points = {"plateau_cranial", "plateau_caudal", "intercondylar",
                                                "talus_centre",    "patella_distal", "tuberosity"};
const std::vector<std::string> saw_points = {"saw_centre", "saw_rim"};

struct FilmReader
{
  YamlReader reader;
  double mm_per_unit = 1, y_sign = 1, stifle_angle_deg = 0;
  bool cranial_is_right = true;
  std::map<std::string, PicturePoint> points; ///< mm, y up

  explicit FilmReader(const std::string &file) : reader(file, "radiograph") {}
  Radiograph read();

private:
  void read_scale();
  void read_point(const YamlNode &node, const std::string &name);
  void points_differ();
  PicturePoint at(const std::string &name) const { return points.at(name); }
};

void FilmReader::read_scale()
{
  const YamlNode &root = reader.root();
  const YamlNode *unit = root.find("unit"), *scale = root.find("mm_per_pixel");
  const auto word = unit ? reader.word(*unit, "unit", {"mm", "pixel"}) : std::nullopt;
  if (word == "pixel" && !scale)
    reader.problem(*unit, "mm_per_pixel is missing: pixels need a scale", "", "mm_per_pixel: 0.01 to 2 (mm)");
  if (word == "mm" && scale)
    reader.problem(*scale, "mm_per_pixel must be absent: the unit is mm", scale->excerpt(), "no mm_per_pixel, or unit: pixel");
  else if (scale)
    mm_per_unit = reader.number(*scale, "mm_per_pixel", Range{0.01, 2, "mm"}).value_or(1);
  y_sign = word == "pixel" ? -1 : 1;
  if (const YamlNode *view = root.find("view"))
    reader.word(*view, "view", {"lateral"});
  if (const YamlNode *cranial = root.find("cranial"))
    cranial_is_right = reader.word(*cranial, "cranial", {"right", "left"}).value_or("right") == "right";
  if (const YamlNode *angle = root.find("stifle_angle_deg"))
    stifle_angle_deg = reader.number(*angle, "stifle_angle_deg", Range{60, 170, "deg, 180 is straight"}).value_or(135);
}

void FilmReader::read_point(const YamlNode &node, const std::string &name)
{
  const std::string path = "points." + name;
  if (!reader.check_list(node, path, 2, 2))
    return;
  const Range range{-100000, 100000, ""};
  const auto x = reader.number(node.items[0], path + "[1]", range), y = reader.number(node.items[1], path + "[2]", range);
  if (x && y)
    points[name] = mm_per_unit * PicturePoint(*x, y_sign * *y);
}

void FilmReader::points_differ()
{
  const YamlNode &list = *reader.root().find("points");
  double widest = 0;
  for (const auto &one : points)
    for (const auto &other : points)
      widest = std::max(widest, (one.second - other.second).norm());
  if (widest < shortest_tibia_mm / 4) // one mistake, one problem
    return reader.problem(list, "points: all of them lie close together; are unit and scale right?",
                          fmt::format("{:.3g} mm from end to end", widest),
                          fmt::format("a tibia of {:g} to {:g} mm", shortest_tibia_mm, longest_tibia_mm));
  for (auto one = points.begin(); one != points.end(); ++one)
    for (auto other = std::next(one); other != points.end(); ++other)
    {
      // The centre of a saw may lie on the intercondylar point, and its rim may pass any point but its centre.
      const bool saw = one->first.rfind("saw_", 0) == 0 || other->first.rfind("saw_", 0) == 0;
      const bool both = one->first == "saw_centre" && other->first == "saw_rim";
      if ((!saw || both) && (one->second - other->second).norm() < least_distance_mm)
        reader.problem(*list.find(other->first), fmt::format("points.{} and points.{} coincide", one->first, other->first),
                       fmt::format("{:.3g} mm apart", (one->second - other->second).norm()),
                       fmt::format("at least {:g} mm apart", least_distance_mm));
    }
}

Radiograph FilmReader::read()
{
  std::vector<std::string> known = needed_points;
  known.insert(known.end(), saw_points.begin(), saw_points.end());
  if (!reader.check_mapping(reader.root(), "", {"unit", "mm_per_pixel", "view", "cranial", "stifle_angle_deg", "points"},
                            {"unit", "view", "cranial", "stifle_angle_deg", "points"}))
    reader.finish();
  read_scale();
  const YamlNode *list = reader.root().find("points");
  if (list && reader.check_mapping(*list, "points", known, needed_points))
    for (const std::string &name : known)
      if (const YamlNode *node = list->find(name))
        read_point(*node, name);
  if (list && (list->find("saw_centre") == nullptr) != (list->find("saw_rim") == nullptr))
    reader.problem(*list, "points.saw_centre and points.saw_rim come together", "one of them", "both or neither");
  reader.finish();
  points_differ();
  reader.finish();
  Radiograph film{cranial_is_right,
                  radians(stifle_angle_deg),
                  at("plateau_cranial"),
                  at("plateau_caudal"),
                  at("intercondylar"),
                  at("talus_centre"),
                  at("patella_distal"),
                  at("tuberosity"),
                  {},
                  {}};
  if (points.count("saw_centre"))
  {
    film.saw_centre = at("saw_centre");
    film.saw_rim = at("saw_rim");
  }
  return film;
}

/// Judges the measured values; every problem stands at the point it names.
class Judge
{
public:
  Judge(YamlReader &reader, const RadiographMeasures &measures) : reader_(reader), m_(measures) {}
  void judge();

private:
  void require(bool good, const std::string &point, const std::string &what, double found, const std::string &allowed)
  {
    if (!good)
      reader_.problem(*reader_.root().find("points")->find(point), fmt::format("points.{}: {}", point, what),
                      fmt::format("{:.6g}", found), allowed);
  }
  static bool between(double low, double value, double high) { return low <= value && value <= high; }

  YamlReader &reader_;
  const RadiographMeasures &m_;
};

void Judge::judge()
{
  const double plateau = degrees(m_.plateau_angle_rad), tendon = degrees(m_.tendon_angle_rad), part = m_.tibia_length_mm;
  require(between(shortest_tibia_mm, part, longest_tibia_mm), "talus_centre",
          "the tibia has an impossible length; is the scale right?", part,
          fmt::format("{:g} to {:g} (mm)", shortest_tibia_mm, longest_tibia_mm));
  require(between(-10, plateau, steepest_plateau_deg), "plateau_cranial",
          "the plateau angle is absurd; are the ends swapped, or does cranial point the other way?", plateau,
          fmt::format("-10 to {:g} (deg)", steepest_plateau_deg));
  require(between(least_plateau_part * part, m_.plateau_length_mm, most_plateau_part * part), "plateau_caudal",
          "the plateau has an impossible length for this tibia", m_.plateau_length_mm,
          fmt::format("{:.3g} to {:.3g} (mm)", least_plateau_part * part, most_plateau_part * part));
  require(between(0, m_.tuberosity.x(), most_part_off * part), "tuberosity",
          "the tuberosity must lie cranial of the functional axis; does cranial point the other way?", m_.tuberosity.x(),
          fmt::format("0 to {:.3g} (mm cranial)", most_part_off * part));
  require(between(-most_part_off * part, m_.tuberosity.z(), 0), "tuberosity", "the tuberosity must lie near the joint, distal of it",
          m_.tuberosity.z(), fmt::format("{:.3g} to 0 (mm proximal)", -most_part_off * part));
  require(between(0, m_.patella.z() - m_.tuberosity.z(), most_part_off * part), "patella_distal",
          "the patella must lie proximal of the tuberosity", m_.patella.z() - m_.tuberosity.z(),
          fmt::format("0 to {:.3g} (mm)", most_part_off * part));
  require(between(least_tendon_deg, tendon, most_tendon_deg), "patella_distal", "the tendon angle is absurd", tendon,
          fmt::format("{:g} to {:g} (deg)", least_tendon_deg, most_tendon_deg));
  if (m_.saw)
    require(m_.saw->tuberosity_width_mm.has_value(), "saw_rim", "the arc does not reach down to the height of the tuberosity",
            m_.saw->radius_mm,
            fmt::format("a radius above {:.3g} (mm), for a centre {:.3g} mm proximal of the tuberosity",
                        std::abs(m_.saw->centre_height_mm - m_.tuberosity.z()), m_.saw->centre_height_mm - m_.tuberosity.z()));
}
} // namespace

RadiographMeasures measure_radiograph(const Radiograph &film)
{
  const PicturePoint proximal = (film.intercondylar - film.talus_centre).normalized();
  const PicturePoint cranial = (film.cranial_is_right ? 1.0 : -1.0) * PicturePoint(proximal.y(), -proximal.x());
  const auto vector = [&](const PicturePoint &d) { return Vector3(d.dot(cranial), 0, d.dot(proximal)); };
  RadiographMeasures m;
  m.tibia_length_mm = (film.intercondylar - film.talus_centre).norm();
  const Vector3 chord = vector(film.plateau_cranial - film.plateau_caudal);
  m.plateau_length_mm = chord.norm();
  m.plateau_angle_rad = std::atan2(chord.z(), chord.x());
  m.tuberosity = vector(film.tuberosity - film.intercondylar);
  m.patella = vector(film.patella_distal - film.intercondylar);
  const Vector3 tendon = m.patella - m.tuberosity, normal(-chord.z(), 0, chord.x());
  m.tendon_angle_rad = pi - std::atan2(tendon.dot(normal), tendon.dot(chord));
  m.tendon_length_mm = tendon.norm();
  m.stifle_angle_rad = film.stifle_angle_rad;
  if (film.saw_centre && film.saw_rim)
  {
    const Vector3 centre = vector(*film.saw_centre - film.intercondylar);
    const double radius = (*film.saw_rim - *film.saw_centre).norm(), height = m.tuberosity.z() - centre.z();
    const double reach_square = radius * radius - height * height;
    m.saw = RadiographSaw{radius, centre.x(), centre.z(), std::nullopt};
    if (reach_square > 0)
      m.saw->tuberosity_width_mm = m.tuberosity.x() - centre.x() - std::sqrt(reach_square);
  }
  return m;
}

RadiographMeasures read_radiograph(const std::string &file)
{
  FilmReader film(file);
  RadiographMeasures measures = measure_radiograph(film.read());
  Judge(film.reader, measures).judge();
  film.reader.finish();
  const YamlNode &points = *film.reader.root().find("points");
  for (std::size_t i = 0; i < points.keys.size(); ++i)
    measures.lines[points.keys[i].text] = points.keys[i].line;
  measures.lines["stifle_angle_deg"] = film.reader.root().find("stifle_angle_deg")->line;
  return measures;
}
} // namespace stifle
