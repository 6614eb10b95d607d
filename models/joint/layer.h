// models/joint/layer.h - stiffness of a thin cartilage layer bonded to bone
#pragma once

namespace stifle
{
/// Quick loading leaves the water no time to flow: the layer is nearly incompressible (assumption).
constexpr double layer_poisson_ratio = 0.45;

/// Modulus of a thin layer that cannot spread sideways: E (1 - nu) / ((1 + nu) (1 - 2 nu)).
inline double bonded_modulus_mpa(double modulus_mpa)
{
  constexpr double nu = layer_poisson_ratio;
  return modulus_mpa * (1 - nu) / ((1 + nu) * (1 - 2 * nu));
}
} // namespace stifle
