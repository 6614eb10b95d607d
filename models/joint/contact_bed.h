// models/joint/contact_bed.h - condyle circle pressed into a convex plateau covered by a bed of springs, per sagittal plane
//   frame   plateau chord frame: t along the chord (cranial), n along its normal, origin at the intercondylar point;
//           surface n = -t^2 / (2 r) for |t| <= half length
//   law     pressure = modulus / thickness * depth, depth along the local surface normal; the plateau pushes and is pushed
//           along that normal (no friction). Ends of contact are found exactly, so force and derivatives are smooth.
//   source  elastic foundation, DEVELOPERS.md "Joint"
#pragma once
#include "models/joint/dual.h"
#include <array>

namespace stifle
{
struct ContactBed
{
  double condyle_radius_mm = 13;
  double plateau_radius_mm = 26;
  double half_length_mm = 14.5;
  double width_mm = 22;            ///< both strips together
  double stiffness_mpa_per_mm = 4; ///< modulus over thickness
};

/// Forces on the TIBIA in the chord frame (x: t, z: n), moment about +y at the origin.
template <class T> struct ContactForce
{
  Plane<T> force_n{};
  T moment_nmm{};
  double peak_mpa = 0;
  double centre_t_mm = 0; ///< mean t weighted with pressure
  bool touching = false;
};

/// Lowest condyle depth over the plateau: > 0 when the circle of centre (t, n) cuts the surface within its length.
inline double squared_gap(const ContactBed &bed, double t, double n, double s)
{
  const double rise = n + s * s / (2 * bed.plateau_radius_mm);
  return (t - s) * (t - s) + rise * rise - bed.condyle_radius_mm * bed.condyle_radius_mm;
}
inline double squared_gap_slope(const ContactBed &bed, double t, double n, double s)
{
  return 2 * (s - t) + 2 * (n + s * s / (2 * bed.plateau_radius_mm)) * s / bed.plateau_radius_mm;
}

/// Place of the least distance. The squared gap is convex in s while the centre lies proximal of the surface.
inline double nearest_place(const ContactBed &bed, double t, double n)
{
  const double r = bed.plateau_radius_mm;
  double s = t * r / (r + n);
  for (int i = 0; i < 30; ++i)
  {
    const double curvature = 2 + 2 * (n + s * s / (2 * r)) / r + 2 * s * s / (r * r);
    const double step = squared_gap_slope(bed, t, n, s) / curvature;
    s -= step;
    if (std::abs(step) < 1e-13 * bed.condyle_radius_mm)
      break;
  }
  return s;
}

/// One end of contact, from outside (convex: Newton is monotone); then one step in T gives the exact derivative.
template <class T> T contact_end(const ContactBed &bed, const T &t, const T &n, double start)
{
  const double tv = value_of(t), nv = value_of(n), r = bed.plateau_radius_mm;
  double s = start;
  for (int i = 0; i < 60; ++i)
  {
    const double step = squared_gap(bed, tv, nv, s) / squared_gap_slope(bed, tv, nv, s);
    s -= step;
    if (std::abs(step) < 1e-13 * bed.condyle_radius_mm)
      break;
  }
  if (std::abs(s) >= bed.half_length_mm)
    return T(s < 0 ? -bed.half_length_mm : bed.half_length_mm);
  const T rise = n + T(s * s / (2 * r));
  const T gap = (t - T(s)) * (t - T(s)) + rise * rise - T(bed.condyle_radius_mm * bed.condyle_radius_mm);
  return T(s) - gap / T(squared_gap_slope(bed, tv, nv, s));
}

/// Gauss-Legendre points and weights on (-1, 1), 12 points.
inline const std::array<std::array<double, 2>, 6> &gauss_pairs()
{
  static const std::array<std::array<double, 2>, 6> pairs = {{{0.1252334085114689, 0.2491470458134028},
                                                              {0.3678314989981802, 0.2334925365383548},
                                                              {0.5873179542866175, 0.2031674267230659},
                                                              {0.7699026741943047, 0.1600783285433462},
                                                              {0.9041172563704749, 0.1069393259953184},
                                                              {0.9815606342467192, 0.0471753363865118}}};
  return pairs;
}

/// Pressure at surface place s, with the surface point and its normal.
template <class T> struct BedPoint
{
  Plane<T> place, normal;
  T slope_length, pressure;
};
template <class T> BedPoint<T> bed_point(const ContactBed &bed, const T &t, const T &n, const T &s)
{
  using std::sqrt;
  const T r(bed.plateau_radius_mm), radius(bed.condyle_radius_mm);
  const T stretch = sqrt(T(1.0) + s * s / (r * r)); // arc length per chord length
  const Plane<T> place{s, -s * s / (T(2.0) * r)}, normal{s / (r * stretch), T(1.0) / stretch};
  const Plane<T> to_centre = Plane<T>{t, n} - place;
  const T along = dot(to_centre, normal), across = moment(normal, to_centre);
  const T depth = sqrt(radius * radius - across * across) - along;
  return {place, normal, stretch, T(bed.stiffness_mpa_per_mm) * depth};
}

template <class T> ContactForce<T> contact_force(const ContactBed &bed, const T &t, const T &n)
{
  ContactForce<T> sum;
  const double nearest = nearest_place(bed, value_of(t), value_of(n));
  const double inside = std::max(-bed.half_length_mm, std::min(bed.half_length_mm, nearest));
  if (!(squared_gap(bed, value_of(t), value_of(n), inside) < 0))
    return sum;
  sum.touching = true;
  const double reach = bed.condyle_radius_mm + std::abs(nearest - value_of(t));
  const T first = contact_end(bed, t, n, nearest - reach), last = contact_end(bed, t, n, nearest + reach);
  const T middle = T(0.5) * (first + last), half = T(0.5) * (last - first);
  double load = 0, load_moment = 0;
  for (const auto &[position, weight] : gauss_pairs())
    for (const double side : {-1.0, 1.0})
    {
      const BedPoint<T> p = bed_point(bed, t, n, T(middle + T(side * position) * half));
      const T push = T(weight * bed.width_mm) * half * p.slope_length * p.pressure;
      const Plane<T> on_tibia = (-push) * p.normal;
      sum.force_n = sum.force_n + on_tibia;
      sum.moment_nmm += moment(p.place, on_tibia);
      load += value_of(push);
      load_moment += value_of(push) * value_of(p.place.x);
    }
  sum.centre_t_mm = load_moment / load;
  sum.peak_mpa = value_of(bed_point(bed, t, n, T(inside)).pressure);
  return sum;
}
} // namespace stifle
