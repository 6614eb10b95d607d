// models/parts/material.h - materials with strengths, from models/parts/materials.yaml
//   units   MPa; the file carries label and reference of every single number
//   errors  InputError: unknown name (with the nearest row), broken file (file, line, column)
#pragma once
#include <array>
#include <optional>
#include <string>
#include <vector>

namespace stifle
{
/// Axes 1 radial, 2 circumferential, 3 along the bone. Pairs in the order 12, 13, 23.
struct Orthotropic
{
  std::array<double, 3> modulus_mpa{};        ///< E1 E2 E3
  std::array<double, 3> shear_mpa{};          ///< G12 G13 G23
  std::array<double, 3> poisson_ratio{};      ///< nu12 nu13 nu23: pull along the first axis
  std::array<double, 3> poisson_ratio_back{}; ///< nu21 nu31 nu32, as measured; the law takes the mean of each pair
  std::string label, source;
};

/// Young's modulus at two levels of cancellous bone under the plateau.
struct ModulusLevels
{
  double top_mpa = 0, third_mpa = 0;
  std::string label, source;
};

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
  std::optional<Orthotropic> orthotropic;
  std::optional<ModulusLevels> levels;
};
/// Throws InputError naming the nearest row when `name` is unknown.
Material find_material(const std::string &name);
std::vector<std::string> material_names();
/// Throws InputError with every problem of the file.
std::vector<Material> read_materials(const std::string &file);
} // namespace stifle
