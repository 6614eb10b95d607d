#include "solver/plasticity.h"
#include "models/core/error.h"
#include <cmath>

namespace stifle::solver
{
namespace
{
double shear_modulus(const PlasticMaterial &m) { return m.modulus_mpa / (2 * (1 + m.poisson_ratio)); }
double bulk_modulus(const PlasticMaterial &m) { return m.modulus_mpa / (3 * (1 - 2 * m.poisson_ratio)); }

const Voigt &unit()
{
  static const Voigt one = (Voigt() << 1, 1, 1, 0, 0, 0).finished();
  return one;
}

// Takes engineering strain to the stress-like deviator (tensor shears).
const VoigtTangent &deviator()
{
  static const VoigtTangent d = []
  {
    VoigtTangent m = (Voigt() << 1, 1, 1, 0.5, 0.5, 0.5).finished().asDiagonal();
    return VoigtTangent(m - unit() * unit().transpose() / 3);
  }();
  return d;
}

double norm(const Voigt &stress_like) // sqrt(s : s)
{
  return std::sqrt(stress_like.head<3>().squaredNorm() + 2 * stress_like.tail<3>().squaredNorm());
}

// Growth of p that brings the von Mises stress `trial` back to the curve, and the slope of the curve there.
double plastic_growth(const PlasticMaterial &m, double trial, double p, double &slope)
{
  const double g3 = 3 * shear_modulus(m);
  slope = m.hardening_mpa;
  double growth = (trial - m.yield_mpa - slope * p) / (g3 + slope);
  if (m.yield_mpa + slope * (p + growth) > m.ceiling_mpa)
  {
    slope = 0;
    growth = (trial - m.ceiling_mpa) / g3;
  }
  return growth;
}
} // namespace

PlasticMaterial metal(const Material &material, double elongation)
{
  const double room = elongation - material.ultimate_mpa / material.modulus_mpa;
  if (!(material.yield_mpa > 0) || !(material.ultimate_mpa >= material.yield_mpa) || !(room > 0))
    throw Error("material " + material.name + ": plastic flow needs a yield strength (found " +
                std::to_string(material.yield_mpa) + " MPa), an ultimate strength not below it (" +
                std::to_string(material.ultimate_mpa) + " MPa) and an elongation above the elastic one (" +
                std::to_string(elongation) + ")");
  return {material.modulus_mpa, material.poisson_ratio, material.yield_mpa, (material.ultimate_mpa - material.yield_mpa) / room,
          material.ultimate_mpa};
}

VoigtTangent elastic_tangent(const PlasticMaterial &m)
{
  return bulk_modulus(m) * unit() * unit().transpose() + 2 * shear_modulus(m) * deviator();
}

PlasticAnswer return_map(const PlasticMaterial &m, const Voigt &strain, const PlasticPoint &old, VoigtTangent *tangent)
{
  const double g = shear_modulus(m);
  const Voigt trial = elastic_tangent(m) * (strain - old.strain);
  PlasticAnswer a{trial, old, false};
  if (tangent)
    *tangent = elastic_tangent(m);
  if (!m.flows())
    return a;
  const Voigt s = trial - unit() * trial.head<3>().sum() / 3;
  const double size = norm(s), von_mises = std::sqrt(1.5) * size;
  const double flow = std::min(m.yield_mpa + m.hardening_mpa * old.equivalent, m.ceiling_mpa);
  if (von_mises <= flow * (1 + 1e-12))
    return a;
  double slope;
  const double growth = plastic_growth(m, von_mises, old.equivalent, slope);
  const Voigt n = s / size;
  const double scale = 1 - 3 * g * growth / von_mises;
  a.flows = true;
  a.stress = trial - (1 - scale) * s;
  a.point.equivalent += growth;
  Voigt flow_direction = std::sqrt(1.5) * n;
  flow_direction.tail<3>() *= 2;
  a.point.strain += growth * flow_direction;
  if (tangent)
    *tangent = bulk_modulus(m) * unit() * unit().transpose() + 2 * g * scale * deviator() -
               2 * g * (1 / (1 + slope / (3 * g)) - (1 - scale)) * n * n.transpose();
  return a;
}
} // namespace stifle::solver
