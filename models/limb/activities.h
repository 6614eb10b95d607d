// models/limb/activities.h - tables of posture and ground force over stance, read from a YAML file
//   source  models/limb/activities.yaml carries its own source labels; a user may replace the file
#pragma once
#include <string>
#include <vector>

namespace stifle
{
/// One row: angles in degrees as in the table (edge of the program), force as a part of body weight.
struct ActivityRow
{
  double percent         = 0; ///< of stance, 0 to 100, strictly increasing
  double tibia_tilt_deg  = 0; ///< tau: tibia leans forward
  double metatarsus_tilt_deg = 0; ///< m: hock behind the toe joint
  double femur_tilt_deg  = 0; ///< phi: femur leans back; stifle angle = 180 - tau - phi, hock angle = 180 - tau - m
  double force_up_bw     = 0; ///< vertical ground force / body weight
  double force_cranial_bw = 0; ///< cranial ground force / body weight
  double centre_of_pressure_mm = 0; ///< cranial of the toe joint, for a 30 kg dog (scaled with foot length)
  double force_medial_bw = 0;              ///< side ground force / body weight, positive towards the midline of the dog
  double centre_of_pressure_medial_mm = 0; ///< medial of the plane of the foot, scaled like the cranial one
};

struct Activity
{
  std::string              name;
  std::string              label, source; ///< source label and text from the file
  std::vector<ActivityRow> rows;
  /// Linear interpolation in percent; held constant outside the first and last row.
  ActivityRow at(double percent) const;
};

/// Throws InputError (file, line, column, key) on unknown or repeated keys, non-monotone percent, empty tables, NaN. The two
/// medial columns may be left out (0), so tables written for the sagittal model stay readable; a misspelt one is unknown.
std::vector<Activity> read_activities(const std::string &file);
/// The table shipped with the program (path found from the source tree or install prefix; see data_file in core/files.h).
std::vector<Activity> default_activities();
/// The activity of that name, null when the list has none. Points into the list.
const Activity *find_activity(const std::vector<Activity> &activities, const std::string &name);
/// One of the shipped activities; throws Error when there is none of that name.
Activity activity_named(const std::string &name);
} // namespace stifle
