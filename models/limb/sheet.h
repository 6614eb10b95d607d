// models/limb/sheet.h - the arithmetic of the reference sheet with its tabulated lever arms, and what the sheet prints
//   use     only to check the statics against joint.md sections 2 and 6b and alternatives.md section 1c; the chain itself takes
//           every lever arm from the landmarks
//   frame   sagittal plane; S > 0 drives the tibia cranially along the plateau, N > 0 presses on the plateau
//   source  free body of joint.md section 2; arms 30, 22 and 37 mm and share 0.67 of section 6b (memory, assumption)
//   read off by checking against the printed numbers: gamma = 0, hamstrings 0, N is printed for the unoperated plateau angle
#pragma once
#include <string>
#include <vector>

namespace stifle
{
struct SheetArms
{
  double patellar_tendon_mm = 30, gastrocnemius_mm = 22, calcanean_mm = 37;
  double gastrocnemius_share = 0.67;
};

struct SheetMuscles
{
  double patellar_tendon_n = 0, gastrocnemius_n = 0;
};
/// The calcanean force balances the hock; the tendon balances the stifle and the gastrocnemius that flexes it.
SheetMuscles sheet_muscles(double stifle_nmm, double hock_nmm, const SheetArms &arms = {});

/// Tendon angle against the plateau at a stifle angle: 90 + (stifle - 90) / 3 in degrees; for the unoperated plateau.
double sheet_tendon_angle_rad(double stifle_angle_rad);

struct SheetLoad
{
  double patellar_tendon_n = 0, gastrocnemius_n = 0, force_up_n = 0, force_cranial_n = 0;
  double tibia_tilt_rad = 0, plateau_angle_rad = 0, tendon_angle_rad = 0;
  double gastrocnemius_tilt_rad = 0; ///< gamma, against the tibial axis
};
struct SheetShear
{
  double shear_n = 0, normal_n = 0;
};
SheetShear sheet_shear(const SheetLoad &load);
/// Levelling by `rotation_rad` lowers plateau and tendon angle alike and changes no force.
SheetLoad levelled(SheetLoad load, double rotation_rad);

/// One printed row. Moments in N m, forces in N.
struct SheetRow
{
  double percent, stifle_moment_nm, hock_moment_nm, hip_moment_nm;
  double patellar_tendon_n, gastrocnemius_n, shear_24_n, shear_6_n, normal_24_n;
};
/// Rows of "walk" and "trot" (joint.md 6b) and of the twelve load cases of alternatives.md 1c, which prints neither hock nor hip
/// moment (NaN). Throws Error otherwise.
const std::vector<SheetRow> &sheet_rows(const std::string &activity);
/// Names of the twelve load cases of alternatives.md 1c, in its order: stand first.
const std::vector<std::string> &sheet_load_cases();
} // namespace stifle
