// scenarios/checks/joint_support.h - rows, dogs and cadaver presses shared by the check cases of the joint
//   errors  pressed and stood throw Error when the joint does not converge or the condyles are off the plateaus: the case then
//           fails as a whole
#pragma once
#include "models/joint/joint.h"
#include "scenarios/checks/check.h"

namespace stifle::checks
{
using Rows = std::vector<CheckRow>;

struct Expected
{
  double value, tolerance; ///< absolute
  std::string unit;
};
/// Level V: statics, geometry or symmetry; must pass.
CheckRow law(const std::string &id, const std::string &quantity, double value, const Expected &expected,
             const std::string &source);
/// Level E, independent: a published value no parameter was chosen with.
CheckRow reported(const std::string &id, const std::string &quantity, double value, const Expected &expected,
                  const std::string &source);
/// Level E, not independent: a parameter was chosen with this value in view; `source` says which.
CheckRow in_view(CheckRow row);
/// Level E, a statement that holds or not: 1 yes.
CheckRow stated(const std::string &id, const std::string &quantity, bool holds, const std::string &source);

/// ", 2-D" behind the quantity of the teaching model.
std::string plane_mark(int dimension);

Scenario dog(int dimension);
OperatedAnatomy bone_at(const Scenario &scenario, double slope_deg); ///< the native bone, or levelled (or raised) by an arc

/// A cadaver held at a stifle angle.
struct Press
{
  double slope_deg, stifle_deg, force_n;
  LigamentState ligament = LigamentState::intact;
  LoadSet set = LoadSet::press;
};
JointCase press_case(const Scenario &scenario, const Press &press);
JointState pressed(const Scenario &scenario, const Press &press);
/// The solved state; Error when it did not converge or, in space, when no condyle sits on its plateau.
JointState solved_joint(const JointCase &joint_case, const std::string &words);
/// 30 % of the body weight, as in the published contact studies.
double thirty_percent_n();

/// Stance at 50 % of an activity.
JointCase stance_case(const Scenario &scenario, double slope_deg, LigamentState ligament, const std::string &activity);
JointState stood(const Scenario &scenario, double slope_deg, LigamentState ligament, const std::string &activity);

struct Line
{
  double intercept, slope, r_squared;
};
Line fit_line(const std::vector<double> &x, const std::vector<double> &y);

/// Rows of the plane joint, then of the spatial one.
CheckCase in_both(const std::string &id, Rows (*group)(int dimension));

// groups of rows, each in the file of its name
std::vector<CheckCase> subluxation_checks();
std::vector<CheckCase> contact_checks();
std::vector<CheckCase> passive_checks();
std::vector<CheckCase> balance_checks();
std::vector<CheckCase> spatial_law_checks();
} // namespace stifle::checks
