// solver/peak_lanes.h - peaks of recovered stress in W states at once (lanes as in stress_lanes.h), over lists of entries
//   bound   the largest principal value is mean + 2/3 von Mises cos t, the smallest mean - 2/3 von Mises cos s, with cos 3t = - cos 3s =
//           27/2 J3 / von Mises^3 (Lode angle), for stress as for strain. Eigenvalues are worked out only where a simple bound of the
//           cosine lies above the largest so far
#pragma once
#include "solver/stress_lanes.h"

namespace stifle::solver
{
using EntryLists = std::vector<std::vector<unsigned>>; ///< per part, ascending
struct EntryGroups
{
  EntryLists of[2]; ///< kept, excluded
};

struct Extremes ///< of one part in one state; entry -1: none
{
  struct Peak
  {
    double mpa   = 0;
    long   entry = -1;
  };
  Peak   von_mises[2], tension; ///< kept and excluded; the others of kept entries alone
  double stretch = 0, shortening = 0;
};

double largest_principal(const Voigt &stress);
/// Smallest and largest principal strain, engineering shears.
std::array<double, 2> principal_strains(const Voigt &strain);

template <int W> struct LaneField
{
  const double *stress, *strain; ///< [6 entry + component]; strain null: Hooke's of the stress and `material`
  IsotropicMaterial material;    ///< of the part
  Voigt at(const double *field, std::size_t entry, int lane) const
  {
    Voigt v;
    for (int k = 0; k < 6; ++k)
      v(k) = field[(6 * entry + k) * W + lane];
    return v;
  }
  Voigt stress_at(std::size_t entry, int lane) const { return at(stress, entry, lane); }
  Voigt strain_at(std::size_t entry, int lane) const
  {
    return strain ? at(strain, entry, lane) : strain_of(stress_at(entry, lane), material);
  }
  Lanes<W> von_mises(std::size_t entry) const
  {
    return von_mises_lanes<W>([&](int k) { return lanes<W>(stress, 6 * entry + k); });
  }
  Lanes<W> mean(const double *field, std::size_t entry) const
  {
    return (lanes<W>(field, 6 * entry) + lanes<W>(field, 6 * entry + 1) + lanes<W>(field, 6 * entry + 2)) / 3.0;
  }
};

/// At least cos(acos(c) / 3), c between -1 and 1: a concave function, below its tangents at 0 and 1 and below 1/2 + sqrt((1 + c) / 6).
template <int W> Lanes<W> cosine_bound(const Lanes<W> &c)
{
  return (0.5 + ((1 + c) / 6).sqrt()).min(0.8660254037844387 + c / 6).min((8 + c) / 9);
}

/// 27/2 J3 / von Mises^3 of the deviator.
template <int W, class S> Lanes<W> cosine_of_three(const S &s, const Lanes<W> &mean, const Lanes<W> &von_mises)
{
  const Lanes<W> x = s(0) - mean, y = s(1) - mean, z = s(2) - mean, xy = s(3), yz = s(4), xz = s(5);
  const Lanes<W> j3 = x * (y * z - yz * yz) - xy * (xy * z - yz * xz) + xz * (xy * yz - y * xz);
  return (13.5 * j3 / (von_mises * von_mises * von_mises + 1e-300)).max(-1.0).min(1.0);
}

/// Upper bounds in one entry. A share of 1e-6 above: eigenvalues in closed form may err by 1e-8.
template <int W> struct PrincipalBounds
{
  static constexpr double two_thirds = (1 + 1e-6) * 2 / 3;
  Lanes<W> tension, stretch, shortening;
  PrincipalBounds(const LaneField<W> &field, std::size_t entry, const Lanes<W> &von_mises)
  {
    Lanes<W> mean = field.mean(field.stress, entry), size = von_mises;
    Lanes<W> cosine = cosine_of_three<W>([&](int k) { return lanes<W>(field.stress, 6 * entry + k); }, mean, von_mises);
    tension         = mean + 1e-9 * mean.abs() + two_thirds * von_mises * cosine_bound<W>(cosine);
    size *= (1 + field.material.poisson_ratio) / field.material.modulus_mpa;
    mean *= (1 - 2 * field.material.poisson_ratio) / field.material.modulus_mpa;
    if (field.strain)
    {
      const auto half = [&](int k) -> Lanes<W> { return (k < 3 ? 1.0 : 0.5) * lanes<W>(field.strain, 6 * entry + k); };
      size            = von_mises_lanes<W>(half);
      mean            = field.mean(field.strain, entry);
      cosine          = cosine_of_three<W>(half, mean, size);
    }
    stretch    = mean + 1e-9 * mean.abs() + two_thirds * size * cosine_bound<W>(cosine);
    shortening = -mean + 1e-9 * mean.abs() + two_thirds * size * cosine_bound<W>(-cosine);
  }
};

template <int W> using LaneExtremes = std::array<Extremes, W>;

template <int W> void take_von_mises(const LaneField<W> &field, const std::vector<unsigned> &entries, int group, LaneExtremes<W> &all)
{
  Lanes<W> largest = Lanes<W>::Constant(-1);
  for (const unsigned e : entries)
  {
    const Lanes<W> v = field.von_mises(e);
    if (!(v > largest).any())
      continue;
    for (int s = 0; s < W; ++s)
      if (v(s) > largest(s))
      {
        largest(s)                = v(s);
        all[s].von_mises[group] = {v(s), static_cast<long>(e)};
      }
  }
}

template <int W> void take_principal(const LaneField<W> &field, const std::vector<unsigned> &entries, LaneExtremes<W> &all)
{
  Lanes<W> tension = Lanes<W>::Zero(), stretch = tension, shortening = tension;
  for (const unsigned e : entries)
  {
    const PrincipalBounds<W> bound(field, e, field.von_mises(e));
    if ((bound.tension > tension).any())
      for (int s = 0; s < W; ++s)
        if (bound.tension(s) > tension(s))
          if (const double mpa = largest_principal(field.stress_at(e, s)); mpa > tension(s))
          {
            tension(s)     = mpa;
            all[s].tension = {mpa, static_cast<long>(e)};
          }
    if ((bound.stretch > stretch || bound.shortening > shortening).any())
      for (int s = 0; s < W; ++s)
        if (bound.stretch(s) > stretch(s) || bound.shortening(s) > shortening(s))
        {
          const auto [least, largest] = principal_strains(field.strain_at(e, s));
          stretch(s)    = std::max(stretch(s), largest);
          shortening(s) = std::max(shortening(s), -least);
        }
  }
  for (int s = 0; s < W; ++s)
  {
    all[s].stretch    = stretch(s);
    all[s].shortening = shortening(s);
  }
}

template <int W> LaneExtremes<W> find_extremes(const LaneField<W> &field, const EntryGroups &groups, unsigned part)
{
  LaneExtremes<W> all;
  for (int k = 0; k < 2; ++k)
    take_von_mises<W>(field, groups.of[k][part], k, all);
  take_principal<W>(field, groups.of[0][part], all);
  return all;
}
} // namespace stifle::solver
