#include "scenarios/checks/joint_support.h"
#include "models/core/error.h"
#include <fmt/format.h>
#include <numeric>

namespace stifle::checks
{
CheckRow law(const std::string &id, const std::string &quantity, double value, const Expected &expected,
             const std::string &source)
{
  return check_row(id, quantity, value, expected.value, expected.tolerance, expected.unit, 'V', true, source);
}

CheckRow reported(const std::string &id, const std::string &quantity, double value, const Expected &expected,
                  const std::string &source)
{
  return check_row(id, quantity, value, expected.value, expected.tolerance, expected.unit, 'E', true, source);
}

CheckRow in_view(CheckRow row)
{
  row.independent = false;
  return row;
}

CheckRow stated(const std::string &id, const std::string &quantity, bool holds, const std::string &source)
{
  return reported(id, quantity + ": 1 yes", holds, {1, 0, ""}, source);
}

std::string plane_mark(int dimension) { return dimension == 2 ? ", 2-D" : ""; }

Scenario dog(int dimension)
{
  Scenario s;
  s.joint.dimension = dimension;
  return s;
}

OperatedAnatomy bone_at(const Scenario &s, double slope_deg)
{
  const Anatomy a = make_anatomy(s);
  const bool whole = std::abs(slope_deg - s.tibia.plateau_angle_deg) < 1e-9;
  return operate(a, whole ? no_levelling(a) : plan_levelling(s, a, radians(slope_deg)));
}

JointCase press_case(const Scenario &s, const Press &p)
{
  const OperatedAnatomy bone = bone_at(s, p.slope_deg);
  return {s, bone, p.ligament, p.set, set_load(s, bone, p.set, radians(p.stifle_deg), p.force_n)};
}

JointState solved_joint(const JointCase &c, const std::string &words)
{
  const JointState state = solve_joint(c);
  const std::string where = fmt::format("the {}-D joint, {}, slope {:.2f}, {}", c.scenario.joint.dimension, words,
                                        degrees(c.bone.levelling.achieved_angle_rad), to_string(c.ligament));
  if (!state.converged)
    throw Error(where + " did not converge: " + state.reason);
  const bool seated = state.unknowns[2] > 0 && state.contact_medial_n + state.contact_lateral_n > 0;
  if (c.scenario.joint.dimension == 3 && !seated)
    throw Error(where + " has no contact: the femur hangs in its ligaments on the wrong side of the plateau");
  return state;
}

JointState pressed(const Scenario &s, const Press &p)
{
  return solved_joint(press_case(s, p), fmt::format("set {}, stifle {}, {:.1f} N", to_string(p.set), p.stifle_deg, p.force_n));
}

double thirty_percent_n() { return 0.3 * make_anatomy(Scenario()).body_weight_n; }

JointCase stance_case(const Scenario &s, double slope_deg, LigamentState ligament, const std::string &activity)
{
  const Activity table = activity_named(activity);
  const OperatedAnatomy bone = bone_at(s, slope_deg);
  return {s, bone, ligament, LoadSet::stance, load_of_instant(s, bone, LoadSet::stance, &table, 50)};
}

JointState stood(const Scenario &s, double slope_deg, LigamentState ligament, const std::string &activity)
{
  return solved_joint(stance_case(s, slope_deg, ligament, activity), activity + " 50 %");
}

Line fit_line(const std::vector<double> &x, const std::vector<double> &y)
{
  const double n = static_cast<double>(x.size());
  const auto mx = std::accumulate(x.begin(), x.end(), 0.0) / n, my = std::accumulate(y.begin(), y.end(), 0.0) / n;
  double xx = 0, xy = 0, yy = 0;
  for (std::size_t i = 0; i < x.size(); ++i)
  {
    xx += (x[i] - mx) * (x[i] - mx);
    xy += (x[i] - mx) * (y[i] - my);
    yy += (y[i] - my) * (y[i] - my);
  }
  return {my - xy / xx * mx, xy / xx, xy * xy / (xx * yy)};
}

CheckCase in_both(const std::string &id, Rows (*group)(int dimension))
{
  return {id, [group]
          {
            Rows rows = group(2);
            for (CheckRow &row : group(3))
              rows.push_back(std::move(row));
            return rows;
          }};
}
} // namespace stifle::checks
