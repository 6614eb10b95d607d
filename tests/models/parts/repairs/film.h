// tests/models/parts/repairs/film.h - lateral films drawn from known points by plane geometry
#pragma once
#include "models/parts/radiograph.h"
#include <fmt/format.h>
#include <map>

namespace stifle::test
{
using Points = std::map<std::string, PicturePoint>;

/// Bone of 200 mm, plateau 25 deg, insertion (31, -14), tendon of 40 mm at 107 deg to the plateau, saw 24 mm about (2, -1);
/// x cranial, y proximal, mm.
inline Points bone()
{
  const double p = radians(25), t = pi - radians(107) + p; // direction of the tendon against x: 107 deg, measured from caudal
  Points points = {{"plateau_cranial", 15 * PicturePoint(std::cos(p), std::sin(p))},
                   {"plateau_caudal", -13 * PicturePoint(std::cos(p), std::sin(p))},
                   {"intercondylar", {0, 0}},
                   {"talus_centre", {0, -200}},
                   {"tuberosity", {31, -14}}};
  points["patella_distal"] = points["tuberosity"] + 40 * PicturePoint(std::cos(t), std::sin(t));
  points["saw_centre"] = {2, -1};
  points["saw_rim"] = PicturePoint(2, -1) + 24 * PicturePoint(std::cos(-0.4), std::sin(-0.4));
  return points;
}

struct Film
{
  bool pixel = true, right = true;
  double mm_per_pixel = 0.15, turn_deg = 0, stifle_deg = 135;
};

/// How the bone looks on a film: turned, mirrored, in pixels with y down or in mm with y up.
inline std::string film_text(const Points &points, const Film &film)
{
  std::string text = film.pixel ? fmt::format("unit: pixel\nmm_per_pixel: {}\n", film.mm_per_pixel) : "unit: mm\n";
  text +=
      fmt::format("view: lateral\ncranial: {}\nstifle_angle_deg: {}\npoints:\n", film.right ? "right" : "left", film.stifle_deg);
  const double c = std::cos(radians(film.turn_deg)), s = std::sin(radians(film.turn_deg));
  for (const auto &[name, p] : points)
  {
    const double x = film.right ? p.x() : -p.x();
    PicturePoint q(c * x - s * p.y(), s * x + c * p.y());
    if (film.pixel)
      q = PicturePoint(1000, 900) + PicturePoint(q.x(), -q.y()) / film.mm_per_pixel;
    text += fmt::format("  {}: [{:.9f}, {:.9f}]\n", name, q.x(), q.y());
  }
  return text;
}
} // namespace stifle::test
