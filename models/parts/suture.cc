#include "models/parts/suture.h"
#include "models/core/error.h"
#include "models/core/nearest.h"
#include <fmt/format.h>

namespace stifle
{
namespace
{
constexpr double reference_length_mm = 200;
constexpr double creep_per_decade = 0.005;
constexpr double toe_of_line_mm = 0.5;

/// "proximal and cranial on the crest", lateral face; on a 200 mm tibia.
Vector3 crest_hole(double scale) { return scale * Vector3(24, -6, -14); }
} // namespace

const std::vector<SutureMaterial> &suture_materials()
{
  static const std::string source = "Vet Surg 2011;40:334, crimped interlocking loop, n = 10";
  static const std::vector<SutureMaterial> rows = {
      {"nylon_leader_45kg", 125.7, 4.0, 193.6, 13.8, 873.7, 68.6, 19.1, 1.4, 0.755, 0.095, "abstract", source},
      {"braided_polyethylene", 234.6, 25.0, 137.3, 94.3, 653.6, 80.2, 5.2, 1.0, 0.687, 0.104, "abstract",
       source + "; type of braid from memory"},
  };
  return rows;
}

std::vector<std::string> suture_material_names()
{
  std::vector<std::string> names;
  for (const SutureMaterial &row : suture_materials())
    names.push_back(row.name);
  return names;
}

const SutureMaterial &find_suture_material(const std::string &name)
{
  for (const SutureMaterial &row : suture_materials())
    if (row.name == name)
      return row;
  throw Error(fmt::format("there is no suture line '{}'; known: {}", name, join(suture_material_names())));
}

double series_stiffness(double one, double other) { return one * other / (one + other); }

double suture_stretch_mm(double tension_n, double stiffness, double toe_mm)
{
  const double end_of_toe_n = stiffness * toe_mm / 2;
  return tension_n < end_of_toe_n ? std::sqrt(2 * toe_mm * tension_n / stiffness) : tension_n / stiffness + toe_mm / 2;
}

double suture_creep_mm(double length_mm, double cycles) { return creep_per_decade * length_mm * std::log10(1 + cycles); }

double anchor_for_secant(double secant, double angle_rad, double line)
{
  const double series = secant / (std::cos(angle_rad) * std::cos(angle_rad));
  if (!(series < line))
    throw Error(fmt::format("suture: a line of {:g} N/mm is too soft for {:g} N/mm at the joint", line, secant));
  return 1 / (1 / series - 1 / line);
}

double suture_length_mm(const SutureLine &line, const Vector3 &femur_origin, const Matrix3 &femur_turn)
{
  return (femur_origin + femur_turn * line.femur - line.tibia).norm();
}

double reduced_suture_length_mm(const SutureLine &line, const Anatomy &a, double stifle_angle_rad)
{
  return suture_length_mm(line, a.condyle_radius_mm * plateau_normal(a), femur_rotation(stifle_angle_rad));
}

SutureLine plan_suture(const Scenario &scenario, const Anatomy &anatomy)
{
  const SutureParameters &given = scenario.suture;
  const SutureMaterial &material = find_suture_material(given.line);
  SutureLine line;
  line.material = material.name;
  line.tibia = crest_hole(anatomy.tibia_length_mm / reference_length_mm);
  line.femur = anatomy.joint.fabella[lateral];
  line.stiffness_n_per_mm = series_stiffness(material.stiffness_n_per_mm, given.anchor_stiffness_n_per_mm);
  line.toe_mm = toe_of_line_mm;
  line.fixed_length_mm = reduced_suture_length_mm(line, anatomy, radians(given.fixed_at_deg));
  line.fixed_tension_n = material.tension_left * given.pre_tension_n;
  line.slack_mm = given.slack_mm;
  line.creep_mm = suture_creep_mm(line.fixed_length_mm, given.cycles);
  line.rest_mm = line.fixed_length_mm - suture_stretch_mm(line.fixed_tension_n, line.stiffness_n_per_mm, line.toe_mm) +
                 line.slack_mm + line.creep_mm;
  return line;
}

std::vector<AssumptionRow> suture_sources()
{
  return {
      {"suture.tibia", "assumption",
       "(24, -6, -14) on a 200 mm tibia: hole in the proximal crest, lateral face; proximal and cranial on the crest is the "
       "better "
       "place (10.1055/s-0037-1617364, abstract)"},
      {"suture.femur", "assumption", "muscles.fabella_lateral of models/parts/joint_parts.yaml, (-14, -9, 14) on a 200 mm tibia"},
      {"suture.toe_mm", "assumption", "0.5: rounds the corner where the line becomes tight"},
      {"suture.creep", "assumption",
       "0.5 % of the length per decade of cycles, same for both lines: no creep over thousands of cycles was found "
       "(alternatives.md section 8)"},
      {"suture.tension_left", "abstract", "75.5 +- 9.5 (nylon), 68.7 +- 10.4 (braided) N left of 100 N: Vet Surg 2011;40:334"},
      {"suture.material", "abstract",
       "stiffness 125.7 +- 4.0 / 234.6 +- 25.0 N/mm, yield 193.6 +- 13.8 / 137.3 +- 94.3 N, peak 873.7 +- 68.6 / 653.6 +- 80.2 "
       "N: "
       "Vet Surg 2011;40:334, n = 10 each"},
  };
}
} // namespace stifle
