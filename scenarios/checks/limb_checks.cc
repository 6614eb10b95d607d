// The limb against the reference sheets: S1 free body from the printed forces, S2 moments and forces from the posture,
// S3 the mid-stance tables, J21 hip force, J27 quadriceps force. S4, A13 and A16: load_case_checks.cc.
#include "models/core/error.h"
#include "models/limb/hip.h"
#include "models/limb/sheet.h"
#include "scenarios/checks/joint_support.h"
#include "scenarios/checks/load_case_checks.h"
#include "scenarios/checks/sheet_limb.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
/// A miss: expected 0.
CheckRow sheet_row(const std::string &id, const std::string &quantity, double value, double tolerance, const std::string &unit,
                   char level, bool independent, const std::string &source)
{
  return check_row(id, quantity, value, 0, tolerance, unit, level, independent, source);
}

/// S and N recomputed from the printed P and G: the largest miss over the rows of each table.
std::vector<CheckRow> free_body_rows()
{
  std::vector<CheckRow> rows;
  for (const std::string name : {"stand", "walk", "trot"})
  {
    const Activity activity = activity_named(name);
    double shear_24 = 0, shear_6 = 0, normal = 0;
    for (const SheetRow &row : sheet_rows(name))
    {
      const SheetLoad load = sheet_load(activity.at(row.percent), row.patellar_tendon_n, row.gastrocnemius_n);
      const SheetShear native = sheet_shear(load), flat = sheet_shear(levelled(load, radians(18)));
      shear_24 = std::max(shear_24, std::abs(native.shear_n - row.shear_24_n));
      shear_6 = std::max(shear_6, std::abs(flat.shear_n - row.shear_6_n));
      normal = std::max(normal, std::abs(native.normal_n - row.normal_24_n));
    }
    const std::string source =
        (name == "stand" ? "alternatives.md 1c" : "joint.md 6b") + std::string(", printed P and G; gamma 0 read off by this check, so not independent");
    rows.push_back(sheet_row("S1", name + ": largest miss of S at plateau angle 24", shear_24, 2, "N", 'V', false, source));
    rows.push_back(sheet_row("S1", name + ": largest miss of S at plateau angle 6", shear_6, 2, "N", 'V', false, source));
    rows.push_back(sheet_row("S1", name + ": largest miss of N (printed for 24)", normal, 2, "N", 'V', false, source));
  }
  return rows;
}

/// Miss over the larger of 5 % and the stated floor: at most 1 passes.
double miss(double value, double printed, double floor)
{
  return std::abs(value - printed) / std::max(0.05 * std::abs(printed), floor);
}

struct PostureMiss
{
  double stifle = 0, hock = 0, hip = 0, tendon = 0, calf = 0;
};

PostureMiss posture_miss(const Activity &activity, bool middle)
{
  PostureMiss worst;
  for (const SheetRow &row : sheet_rows(activity.name))
  {
    if ((row.percent >= 15 && row.percent <= 75) != middle)
      continue;
    const NetMoments m = net_moments(sheet_stance(activity, row.percent), sheet_limb(), false);
    const SheetMuscles muscles = sheet_muscles(m.stifle_nmm, m.hock_nmm);
    const auto raise = [](double &largest, double value) { largest = std::max(largest, value); };
    raise(worst.stifle, miss(m.stifle_nmm / 1000, row.stifle_moment_nm, 0.15));
    raise(worst.hock, miss(m.hock_nmm / 1000, row.hock_moment_nm, 0.15)); // not printed for stand: NaN, never raised
    raise(worst.hip, miss(m.hip_nmm / 1000, row.hip_moment_nm, 0.15));
    raise(worst.tendon, miss(muscles.patellar_tendon_n, row.patellar_tendon_n, 4));
    raise(worst.calf, miss(muscles.gastrocnemius_n, row.gastrocnemius_n, 4));
  }
  return worst;
}

std::vector<CheckRow> posture_rows()
{
  std::vector<CheckRow> rows;
  const std::string source = "joint.md 6b; centre of pressure derived from its moments, so not independent";
  const std::string unit = "of max(5 %, 4 N or 0.15 N m)";
  const PostureMiss stand = posture_miss(activity_named("stand"), true);
  rows.push_back(sheet_row("S2", "stand: miss of the stifle moment", stand.stifle, 1, unit, 'V', true, "alternatives.md 1c"));
  rows.push_back(sheet_row("S2", "stand: miss of P", stand.tendon, 1, unit, 'V', true, "alternatives.md 1c"));
  rows.push_back(sheet_row("S2", "stand: miss of G", stand.calf, 1, unit, 'V', true, "alternatives.md 1c"));
  for (const std::string name : {"walk", "trot"})
    for (const bool middle : {true, false})
    {
      const PostureMiss worst = posture_miss(activity_named(name), middle);
      const std::string where = name + (middle ? " 15-75 %" : " 5 and 90 %") + ": largest miss of ";
      const char level = middle ? 'V' : 'E';
      rows.push_back(sheet_row("S2", where + "the stifle moment", worst.stifle, 1, unit, level, false, source));
      rows.push_back(sheet_row("S2", where + "the hock moment", worst.hock, 1, unit, level, false, source));
      rows.push_back(sheet_row("S2", where + "the hip moment", worst.hip, 1, unit, level, false, source));
      rows.push_back(sheet_row("S2", where + "P", worst.tendon, 1, unit, level, false, source));
      rows.push_back(sheet_row("S2", where + "G", worst.calf, 1, unit, level, false, source));
    }
  return rows;
}

/// joint.md section 2, table of mid-stance rows. They hold with the tendon angle of stifle 135 (105 deg) in every row.
std::vector<CheckRow> mid_stance_rows()
{
  struct Printed
  {
    std::string name;
    double force_bw, tilt_deg, tendon_n, calf_n, shear_24, shear_6, shear_0, normal_24;
  };
  const std::vector<Printed> table = {{"walk, stifle 135", 0.42, 27, 269, 95, 102, -49, -98, 470},
                                      {"walk, stifle 145", 0.42, 22, 204, 95, 96, -35, -78, 407},
                                      {"trot, stifle 130", 0.70, 30, 512, 158, 175, -94, -183, 844}};
  std::vector<CheckRow> rows;
  for (const Printed &p : table)
  {
    SheetLoad load;
    load.patellar_tendon_n = p.tendon_n;
    load.gastrocnemius_n = p.calf_n;
    load.force_up_n = p.force_bw * sheet_limb().body_weight_n;
    load.tibia_tilt_rad = radians(p.tilt_deg);
    load.plateau_angle_rad = radians(24);
    load.tendon_angle_rad = sheet_tendon_angle_rad(radians(135));
    const double worst = std::max({std::abs(sheet_shear(load).shear_n - p.shear_24),
                                   std::abs(sheet_shear(levelled(load, radians(18))).shear_n - p.shear_6),
                                   std::abs(sheet_shear(levelled(load, radians(24))).shear_n - p.shear_0),
                                   std::abs(sheet_shear(load).normal_n - p.normal_24)});
    rows.push_back(sheet_row("S3", p.name + ": largest miss of S at 24, 6, 0 and of N", worst, 2, "N", 'V', false,
                             "joint.md section 2, printed P and G; tendon angle 105 deg in all rows (read off by checking)"));
  }
  return rows;
}

double sheet_tendon_n(const Activity &activity, double percent)
{
  const NetMoments m = net_moments(sheet_stance(activity, percent), sheet_limb(), false);
  return sheet_muscles(m.stifle_nmm, m.hock_nmm).patellar_tendon_n;
}

/// Intact, unoperated joint of the default dog along the walk, posed by the joint model.
struct PosedWalk
{
  std::vector<double> percent, quadriceps_n, hip_bw;
  double largest(const std::vector<double> &values) const { return *std::max_element(values.begin(), values.end()); }
  double at_50(const std::vector<double> &values) const
  {
    return values[std::find(percent.begin(), percent.end(), 50.0) - percent.begin()];
  }

  explicit PosedWalk(int dimension)
  {
    const Activity walk = activity_named("walk");
    const Scenario s = dog(dimension);
    JointCase joint;
    joint.scenario = s;
    joint.bone = bone_at(s, s.tibia.plateau_angle_deg);
    for (const ActivityRow &instant : walk.rows)
    {
      joint.load = load_of_instant(s, joint.bone, LoadSet::stance, &walk, instant.percent);
      const JointState state = solved_joint(joint, fmt::format("walk {} %", instant.percent));
      percent.push_back(instant.percent);
      quadriceps_n.push_back(state.quadriceps_n);
      hip_bw.push_back(hip_force(joint.load, joint.bone.anatomy, state.quadriceps_n).contact_bw);
    }
  }
};

std::vector<CheckRow> hip_rows(int dimension)
{
  const PosedWalk walk(dimension);
  CheckRow row;
  row.id = "J21";
  row.quantity = "hip contact force, walk 50 %" + plane_mark(dimension);
  row.value = walk.at_50(walk.hip_bw);
  row.expected = 1.6; // middle of 1.2 to 2.0; measured 1.65
  row.tolerance = 0.4;
  row.unit = "body weights";
  row.source = "J Biomech 1993;26:571: up to 1.65 measured, 1.2-2.0 accepted. Low because the hip is balanced in the sagittal "
               "plane, without gluteal abductors or co-contraction; hip arms are assumptions (models/limb/hip.h)";
  CheckRow largest = row;
  largest.quantity = "hip contact force, largest of the walk" + plane_mark(dimension);
  largest.value = walk.largest(walk.hip_bw);
  return {row, largest};
}

std::vector<CheckRow> quadriceps_rows(int dimension)
{
  const PosedWalk walk(dimension);
  CheckRow row;
  row.id = "J27";
  row.quantity = "largest quadriceps force of the walk, posed joint" + plane_mark(dimension);
  row.value = walk.largest(walk.quadriceps_n);
  row.expected = 240;
  row.tolerance = 72;
  row.unit = "N";
  row.source = "VCOT 2025 (Sullivan), an estimate, +-30 %; joint.md section 4";
  if (dimension == 2)
    return {row};
  CheckRow sheet = row;
  sheet.quantity = "largest patellar tendon force of the walk, tabulated arms";
  sheet.value = 0;
  for (const double percent : walk.percent)
    sheet.value = std::max(sheet.value, sheet_tendon_n(activity_named("walk"), percent));
  return {row, sheet};
}
} // namespace

std::vector<CheckCase> limb_checks()
{
  return {in_both("J21", hip_rows), in_both("J27", quadriceps_rows), {"S1", free_body_rows},      {"S2", posture_rows},
          {"S3", mid_stance_rows},  {"S4", load_case_rows},          {"A13", opposite_limb_rows}, {"A16", flexed_task_rows}};
}
} // namespace stifle::checks
