#include "models/limb/sheet.h"

#include "models/core/error.h"
#include "models/core/units.h"

#include <limits>
#include <map>

namespace stifle
{
SheetMuscles sheet_muscles(double stifle_nmm, double hock_nmm, const SheetArms &arms)
{
  SheetMuscles muscles;
  muscles.gastrocnemius_n = arms.gastrocnemius_share * hock_nmm / arms.calcanean_mm;
  muscles.patellar_tendon_n = (stifle_nmm + muscles.gastrocnemius_n * arms.gastrocnemius_mm) / arms.patellar_tendon_mm;
  return muscles;
}

double sheet_tendon_angle_rad(double stifle_angle_rad) { return pi / 2 + (stifle_angle_rad - pi / 2) / 3; }

SheetShear sheet_shear(const SheetLoad &l)
{
  const double slope = l.plateau_angle_rad, calf = slope + l.gastrocnemius_tilt_rad, ground = slope - l.tibia_tilt_rad;
  SheetShear result;
  result.shear_n = -l.patellar_tendon_n * std::cos(l.tendon_angle_rad) + l.gastrocnemius_n * std::sin(calf) +
                   l.force_up_n * std::sin(ground) + l.force_cranial_n * std::cos(ground);
  result.normal_n = l.patellar_tendon_n * std::sin(l.tendon_angle_rad) + l.gastrocnemius_n * std::cos(calf) +
                    l.force_up_n * std::cos(ground) - l.force_cranial_n * std::sin(ground);
  return result;
}

SheetLoad levelled(SheetLoad load, double rotation_rad)
{
  load.plateau_angle_rad -= rotation_rad;
  load.tendon_angle_rad -= rotation_rad;
  return load;
}

const std::vector<SheetRow> &sheet_rows(const std::string &activity)
{
  static const double none = std::numeric_limits<double>::quiet_NaN();
  // clang-format off
  static const std::map<std::string, std::vector<SheetRow>> tables = {
    //          %    Mk   Mh   Mhip    P    G    S24  S6   N
    {"stand", {{50, 1.1, none, none,  70,  46,  47,  -7, 167}}},
    {"stand_one_leg", {{50, 2.9, none, none, 165, 93, 93, -23, 361}}},
    {"sit_to_stand_start", {{50, 4.2, none, none, 238, 134, -22, -151, 422}}},
    {"sit_to_stand_middle", {{50, 2.8, none, none, 202, 147, 38, -94, 422}}},
    {"stairs_up_deep", {{50, 6.6, none, none, 341, 164, 49, -145, 620}}},
    {"stairs_up_push", {{50, 10.9, none, none, 452, 122, 103, -123, 717}}},
    {"stairs_down", {{50, 11.0, none, none, 420, 72, 34, -147, 580}}},
    {"turning_trot", {{50, 11.5, none, none, 505, 164, 159, -111, 847}}},
    {"gallop", {{50, 26.8, none, none, 1075, 249, 266, -260, 1660}}},
    {"sprint_start", {{50, 12.8, none, none, 782, 484, 224, -286, 1615}}},
    {"jump_up", {{50, 27.6, none, none, 1267, 475, 216, -462, 2160}}},
    {"jump_down", {{50, 24.0, none, none, 994, 264, 138, -336, 1511}}},
    {"walk",  {{ 5, 0.8,  2.1,  1.8,  53,  38,  36,  -5, 129},
               {15, 2.4,  4.9,  4.1, 144,  89,  87, -18, 326},
               {25, 4.1,  5.3,  3.3, 207,  95, 102, -29, 409},
               {40, 4.4,  4.8,  2.3, 210,  87,  93, -33, 393},
               {50, 4.3,  4.8,  2.3, 206,  88,  88, -36, 385},
               {60, 4.9,  4.5,  1.5, 223,  82,  88, -39, 396},
               {75, 5.6,  3.5, -0.1, 232,  64,  81, -40, 381},
               {90, 3.2,  1.5, -0.2, 126,  26,  42, -21, 198}}},
    {"trot",  {{ 5, 1.0,  2.0,  1.5,  59,  36,  37,  -7, 134},
               {15, 3.3,  5.7,  5.4, 186, 103,  99, -28, 398},
               {25, 5.4,  8.4,  8.8, 289, 151, 137, -54, 596},
               {40, 7.2, 10.2, 10.4, 375, 185, 156, -80, 741},
               {50, 8.5,  9.9,  7.1, 417, 180, 155, -91, 770},
               {60, 8.9,  7.9,  3.9, 402, 143, 138, -85, 699},
               {75, 7.3,  4.3,  0.9, 299,  77,  92, -61, 480},
               {90, 3.0,  1.2,  0.2, 115,  22,  35, -21, 177}}}};
  // clang-format on
  const auto found = tables.find(activity);
  if (found == tables.end())
    throw Error("the reference sheet prints no row for '" + activity + "'");
  return found->second;
}

const std::vector<std::string> &sheet_load_cases()
{
  static const std::vector<std::string> names = {"stand",
                                                 "stand_one_leg",
                                                 "sit_to_stand_start",
                                                 "sit_to_stand_middle",
                                                 "stairs_up_deep",
                                                 "stairs_up_push",
                                                 "stairs_down",
                                                 "turning_trot",
                                                 "gallop",
                                                 "sprint_start",
                                                 "jump_up",
                                                 "jump_down"};
  return names;
}
} // namespace stifle
