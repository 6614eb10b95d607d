// models/parts/radiograph.h - plateau angle, tendon angle, tibia length and arc from points on a lateral film
//   file    unit: mm | pixel;  mm_per_pixel: NUMBER (unit pixel only, required there);  view: lateral;
//           cranial: right | left (which way cranial points in the picture);  stifle_angle_deg: NUMBER (180 is straight; the
//           tendon angle holds at it);  points: {NAME: [x, y], ...} with
//           plateau_cranial, plateau_caudal (ends of the medial plateau), intercondylar, talus_centre (the functional axis),
//           patella_distal, tuberosity (ends of the patellar tendon); saw_centre and saw_rim: both or neither
//   frame   in the picture x points right; y points DOWN for unit pixel (as in image files) and UP for unit mm.
//           Out: x cranial, z proximal along the functional axis, origin at the intercondylar point
//   rule    plateau angle: plateau line against the perpendicular of the functional axis, positive = falls caudally; tendon
//           angle: patellar tendon against the plateau line (more than 90 deg pulls the tibia cranially) in the posture of the
//           film; tuberosity width: from the tendon insertion to the arc, square to the axis (joint.md sections 1 and 2)
//   errors  InputError with every problem: unknown or missing keys and points, numbers that are not finite, points that
//           coincide, points that cannot be a stifle (the limits stand in radiograph.cc; assumption)
#pragma once
#include "models/core/units.h"
#include <array>
#include <map>
#include <optional>
#include <string>

namespace stifle
{
/// SD between observers of a plateau angle, deg: textbook p. 218 after Vet Surg 2001 and 2003 (read); joint.md section 1.
constexpr double plateau_observer_sd_deg = 0.8;
/// The same for a tendon angle: assumption, since no spread between observers was found; the lines are drawn alike.
constexpr double tendon_observer_sd_deg = plateau_observer_sd_deg;

using PicturePoint = Eigen::Vector2d;

/// As read, in mm, y up.
struct Radiograph
{
  bool cranial_is_right = true;
  double stifle_angle_rad = 0;
  PicturePoint plateau_cranial, plateau_caudal, intercondylar, talus_centre, patella_distal, tuberosity;
  std::optional<PicturePoint> saw_centre, saw_rim;
};

struct RadiographSaw
{
  double radius_mm;
  double centre_offset_mm;                   ///< cranial of the intercondylar point
  double centre_height_mm;                   ///< proximal of it
  std::optional<double> tuberosity_width_mm; ///< absent when the arc does not reach the height of the insertion
};

struct RadiographMeasures
{
  double plateau_angle_rad = 0, tendon_angle_rad = 0, tibia_length_mm = 0;
  double plateau_length_mm = 0, tendon_length_mm = 0;
  double stifle_angle_rad = 0; ///< in which the tendon angle was measured
  Vector3 tuberosity = Vector3::Zero(), patella = Vector3::Zero(); ///< y = 0
  std::optional<RadiographSaw> saw;
  std::map<std::string, int> lines; ///< of the points in the file, and of stifle_angle_deg; empty when measured without a file
};

/// No checks: any two points of one line must differ.
RadiographMeasures measure_radiograph(const Radiograph &film);
/// Reads, measures and judges.
RadiographMeasures read_radiograph(const std::string &file);
} // namespace stifle
