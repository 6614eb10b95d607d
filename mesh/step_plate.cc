#include "mesh/step_plate.h"
#include "models/core/error.h"
#include <algorithm>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <gmsh.h>
#include <optional>

namespace stifle::mesh
{
namespace occ = gmsh::model::occ;
namespace
{
constexpr double shortest_plate_mm = 15, longest_plate_mm = 300; // assumption: 2.0 plates of toy breeds to long 4.5 plates
constexpr double same_place_mm = 0.02, closed_rad = 2 * pi - 0.02;

[[noreturn]] void refuse(const std::string &file, const std::string &message, const std::string &found,
                         const std::string &allowed)
{
  InputProblem problem;
  problem.file = file, problem.message = message, problem.found = found, problem.allowed = allowed;
  throw InputError({problem});
}

struct Cylinder
{
  Vector3 axis, foot;              ///< foot: point of the axis nearest to the origin
  double radius, angle, low, high; ///< angle about the axis; extent along it
  double full_low, full_high;      ///< where the cylinder is there all round
};

Vector3 at(const std::vector<double> &xyz, std::size_t i) { return Vector3(xyz[3 * i], xyz[3 * i + 1], xyz[3 * i + 2]); }

Vector3 upright(const Vector3 &v)
{
  Eigen::Index i;
  v.cwiseAbs().maxCoeff(&i);
  return v[i] < 0 ? Vector3(-v) : v;
}

/// Between the highest place of the lower rim and the lowest of the upper one nothing of the cylinder is missing.
void find_rims(int face, Cylinder &c)
{
  constexpr int n = 24;
  c.full_low = c.low, c.full_high = c.high;
  gmsh::vectorpair edges;
  gmsh::model::getBoundary({{2, face}}, edges, false, false, false);
  for (const auto &[dim, tag] : edges)
  {
    std::vector<double> low, high, at_edge, xyz;
    gmsh::model::getParametrizationBounds(1, tag, low, high);
    for (int i = 0; i <= n; ++i)
      at_edge.push_back(low[0] + (high[0] - low[0]) * i / n);
    gmsh::model::getValue(1, tag, at_edge, xyz);
    double least = 1e300, most = -1e300, across = 0;
    for (int i = 0; i <= n; ++i)
    {
      const Vector3 p = at(xyz, i), from_first = p - at(xyz, 0);
      least = std::min(least, p.dot(c.axis)), most = std::max(most, p.dot(c.axis));
      across = std::max(across, (from_first - from_first.dot(c.axis) * c.axis).norm());
    }
    if (across < same_place_mm) // the seam, or a joint of two halves
      continue;
    if (least + most < c.low + c.high)
      c.full_low = std::max(c.full_low, most);
    else
      c.full_high = std::min(c.full_high, least);
  }
}

/// OpenCASCADE runs a cylinder by angle first, length second.
std::optional<Cylinder> cylinder_of(int face)
{
  std::string type;
  gmsh::model::getType(2, face, type);
  if (type != "Cylinder")
    return {};
  std::vector<double> low, high, points, normals;
  gmsh::model::getParametrizationBounds(2, face, low, high);
  const double u = low[0], du = std::min(high[0] - low[0], 0.5 * pi), v = low[1];
  const std::vector<double> uv = {u, v, u + du, v, u, high[1]};
  gmsh::model::getValue(2, face, uv, points);
  gmsh::model::getNormal(face, uv, normals);
  Cylinder c;
  const Vector3 a = at(points, 0), b = at(points, 1), n = at(normals, 0).normalized(), m = at(normals, 1).normalized();
  c.axis = upright(n.cross(m).normalized());
  c.radius = (b - a).norm() / (m - n).norm(); // a chord of the circle and of the unit circle
  const double outward = (b - a).dot(m - n) > 0 ? 1 : -1;
  const Vector3 centre = a - outward * c.radius * n;
  c.foot = centre - centre.dot(c.axis) * c.axis;
  c.angle = high[0] - low[0];
  const double first = a.dot(c.axis), last = at(points, 2).dot(c.axis);
  c.low = std::min(first, last), c.high = std::max(first, last);
  find_rims(face, c);
  return c;
}

/// Faces of one cylinder become one.
std::vector<Cylinder> joined(const std::vector<Cylinder> &faces)
{
  std::vector<Cylinder> all;
  for (const Cylinder &f : faces)
  {
    const auto it = std::find_if(all.begin(), all.end(),
                                 [&](const Cylinder &c)
                                 {
                                   return (c.axis - f.axis).norm() < 1e-4 && (c.foot - f.foot).norm() < same_place_mm &&
                                          std::abs(c.radius - f.radius) < same_place_mm && f.low < c.high && c.low < f.high;
                                 });
    if (it == all.end())
      all.push_back(f);
    else
    {
      it->angle += f.angle, it->low = std::min(it->low, f.low), it->high = std::max(it->high, f.high);
      it->full_low = std::max(it->full_low, f.full_low), it->full_high = std::min(it->full_high, f.full_high);
    }
  }
  return all;
}

/// A small ball on the axis shares nothing with the solid.
bool is_empty(int solid, const Vector3 &place, double radius)
{
  const int ball = occ::addSphere(place.x(), place.y(), place.z(), 0.1 * radius);
  gmsh::vectorpair common;
  std::vector<gmsh::vectorpair> map;
  occ::intersect({{3, ball}}, {{3, solid}}, common, map, -1, true, false);
  const bool empty = common.empty();
  occ::remove(common, true);
  return empty;
}

std::vector<StepHole> find_holes(int solid, const Vector3 &size)
{
  gmsh::vectorpair faces;
  gmsh::model::getBoundary({{3, solid}}, faces, false, false, false);
  std::vector<Cylinder> cylinders;
  for (const auto &[dim, tag] : faces)
    if (const auto c = cylinder_of(tag))
      cylinders.push_back(*c);
  std::vector<StepHole> holes;
  for (const Cylinder &c : joined(cylinders))
  {
    const double half = 0.5 * (c.low + c.high);
    const Vector3 middle = c.foot + half * c.axis;
    if (c.angle > closed_rad && is_empty(solid, middle, c.radius))
      holes.push_back({middle, c.axis, 2 * c.radius, c.high - c.low, c.full_low - half, c.full_high - half});
  }
  Eigen::Index longest;
  size.maxCoeff(&longest);
  std::sort(holes.begin(), holes.end(),
            [&](const StepHole &a, const StepHole &b) { return a.middle[longest] < b.middle[longest]; });
  return holes;
}

int import_solid(const std::string &file)
{
  std::error_code error;
  if (!std::filesystem::is_regular_file(file, error))
    refuse(file, "plate: the file does not exist", file, "a STEP file with one solid");
  std::string start(12, '\0');
  std::ifstream(file, std::ios::binary).read(start.data(), 12);
  if (start != "ISO-10303-21")
    refuse(file, "plate: this is no STEP file", "a file that does not start with ISO-10303-21", "a STEP file with one solid");
  gmsh::vectorpair shapes;
  try
  {
    gmsh::option::setString("Geometry.OCCTargetUnit", "MM");
    occ::importShapes(file, shapes, true, "step");
    occ::synchronize();
  }
  catch (...) // Gmsh throws text or numbers
  {
    refuse(file, "plate: OpenCASCADE cannot read this STEP file", "a broken file", "a STEP file with one solid");
  }
  const auto n = std::count_if(shapes.begin(), shapes.end(), [](const auto &s) { return s.first == 3; });
  if (n != 1)
    refuse(file, "plate: the STEP file is not one solid", fmt::format("{} solids", n), "one solid: the plate without screws");
  return shapes[0].second;
}
} // namespace

std::string unit_doubt(double longest_mm)
{
  const auto plausible = [](double mm) { return mm >= shortest_plate_mm && mm <= longest_plate_mm; };
  if (plausible(longest_mm))
    return "";
  std::string names;
  for (const auto &[factor, name] :
       {std::pair(25.4, "inches"), std::pair(1000.0, "metres"), std::pair(10.0, "centimetres"),
        std::pair(1 / 25.4, "millimetres declared as inches"), std::pair(1e-3, "millimetres declared as metres")})
    if (plausible(longest_mm * factor))
      names += (names.empty() ? "looks like " : " or ") + std::string(name);
  if (!names.empty())
    return names;
  return "no unit makes a plate of it";
}

StepPlate read_step_plate(const std::string &file)
{
  StepPlate plate;
  plate.solid = import_solid(file);
  occ::getMass(3, plate.solid, plate.volume_mm3);
  occ::getBoundingBox(3, plate.solid, plate.low.x(), plate.low.y(), plate.low.z(), plate.high.x(), plate.high.y(),
                      plate.high.z());
  const Vector3 size = plate.high - plate.low;
  if (const std::string doubt = unit_doubt(size.maxCoeff()); !doubt.empty())
    refuse(file, "plate: the solid has not the size of a plate",
           fmt::format("{:.4g} x {:.4g} x {:.4g} mm: {}", size.x(), size.y(), size.z(), doubt),
           fmt::format("longest side {:g} to {:g} mm", shortest_plate_mm, longest_plate_mm));
  plate.holes = find_holes(plate.solid, size);
  return plate;
}
} // namespace stifle::mesh
