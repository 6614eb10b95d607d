// models/parts/material.h - isotropic materials with strengths, from models/parts/materials.yaml
//   units   MPa; the file carries label and reference of every single number
//   errors  InputError: unknown name (with the nearest row), broken file (file, line, column)
#pragma once
#include <string>
#include <vector>

namespace stifle
{
struct Material
{
  std::string name;
  double modulus_mpa = 0, poisson_ratio = 0;
  double yield_mpa = 0, ultimate_mpa = 0; ///< 0: not given
  double fatigue_limit_mpa = 0;           ///< smooth bar in air, mean 0, 1e7 loadings; 0: not given
  double fatigue_limit_spread = 0;        ///< relative, one standard deviation
  std::string fatigue_label, fatigue_source;
  std::string label;  ///< of the yield strength (what a margin rests on), else of the modulus
  std::string source; ///< reference and label of every number
};
/// Throws InputError naming the nearest row when `name` is unknown.
Material find_material(const std::string &name);
std::vector<std::string> material_names();
/// Throws InputError with every problem of the file.
std::vector<Material> read_materials(const std::string &file);
} // namespace stifle
