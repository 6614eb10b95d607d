// solver/plasticity.h - J2 (von Mises) elastoplastic material point, small strain, isotropic hardening, radial return
//   order   xx yy zz xy yz xz; strains with engineering shears (2 eps_xy), stress in MPa
//   curve   flow stress against equivalent plastic strain p: yield + hardening p, at most `ceiling` (then flat); 0 = elastic
//   limits  no large strain, no softening, no Bauschinger effect, no rate. Associated flow keeps the volume.
//   source  closed-form return and consistent tangent derived in DEVELOPERS.md "Plasticity" (label derived)
#pragma once
#include "solver/hooke.h"
#include <limits>

namespace stifle::solver
{
struct PlasticMaterial
{
  double modulus_mpa = 1, poisson_ratio = 0.3;
  double yield_mpa = 0;                                         ///< 0: stays elastic
  double hardening_mpa = 0;                                     ///< slope of flow stress over p
  double ceiling_mpa = std::numeric_limits<double>::infinity(); ///< flow stress stops growing here
  bool flows() const { return yield_mpa > 0; }
};

/// Rule (label assumption): flow stress grows in a straight line from yield at p = 0 to the ultimate strength where the total
/// strain of a pulled bar is the elongation at break, p = elongation - ultimate / E, and is flat from there. Engineering
/// numbers are taken for true ones, which is on the safe side (true stress at the ultimate load is larger).
/// Throws Error without yield or ultimate, or when the elongation lies below ultimate / E.
PlasticMaterial metal(const Material &material, double elongation);

struct PlasticPoint ///< history of one point
{
  Voigt strain = Voigt::Zero(); ///< plastic, engineering shears
  double equivalent = 0;        ///< p, accumulated sqrt(2/3 dEp : dEp)
};

struct PlasticAnswer
{
  Voigt stress;
  PlasticPoint point; ///< the new history
  bool flows = false; ///< in this increment
};
VoigtTangent elastic_tangent(const PlasticMaterial &material);
/// Stress at the total strain after the history `old`. With `tangent`: d stress / d strain of this very function.
PlasticAnswer return_map(const PlasticMaterial &material, const Voigt &strain, const PlasticPoint &old,
                         VoigtTangent *tangent = nullptr);
} // namespace stifle::solver
