// models/parts/material.h - isotropic materials with strengths, from models/parts/materials.yaml
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
  std::string label, source;
};
/// Throws InputError naming the nearest row when `name` is unknown.
Material find_material(const std::string &name);
std::vector<std::string> material_names();
} // namespace stifle
