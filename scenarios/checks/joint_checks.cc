// The joint against its reference sheet (joint.md section 8, J rows) and against closed forms (S20 to S24). Nothing here is a
// value the model was tuned to unless its row says so.
#include "models/joint/equilibrium.h"
#include "models/joint/ligament.h"
#include "scenarios/checks/check.h"
#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace stifle::checks
{
namespace
{
using Rows = std::vector<CheckRow>;

CheckRow row_of(const std::string &id, const std::string &quantity, double value, double expected, double tolerance,
                const std::string &unit, char level, const std::string &source, bool independent = true)
{
  return check_row(id, quantity, value, expected, tolerance, unit, level, independent, source);
}

OperatedAnatomy bone_at(const Scenario &s, double slope_deg)
{
  const Anatomy a = make_anatomy(s);
  return operate(a, std::abs(slope_deg - s.tibia.plateau_angle_deg) < 1e-9 ? no_levelling(a)
                                                                           : plan_levelling(s, a, radians(slope_deg)));
}

/// A cadaver in the press at a slope and stifle angle.
JointState pressed(double slope_deg, double stifle_deg, double force_n, LigamentState ligament, LoadSet set = LoadSet::press)
{
  const Scenario s;
  const OperatedAnatomy bone = bone_at(s, slope_deg);
  const StanceLoad load = set_load(s, bone, set, radians(stifle_deg), force_n);
  JointState state = solve_joint({s, bone, ligament, set, load});
  if (!state.converged)
    throw std::runtime_error(
        fmt::format("the joint did not converge at slope {}, stifle {}, {} N", slope_deg, stifle_deg, force_n));
  return state;
}

struct Line
{
  double intercept, slope, r_squared;
};
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

Rows chord_and_angle()
{
  const Anatomy a = make_anatomy(Scenario());
  const std::string source = "joint.md section 1, c = 2 R sin(phi/2): arithmetic";
  const auto cut = [&](const Vector3 &centre, double radius, double deg)
  { return levelling_about(a, centre, radius, radians(deg)); };
  const std::string tilt = "joint.md section 1, derived: arc centre off by e; the worst place is distal";
  return {
      row_of("J1", "chord, R 30, 21 deg", cut({0, 0, 0}, 30, 21).chord_mm, 10.934, 1e-3, "mm", 'V', source),
      row_of("J1", "chord, R 24, 20 deg", cut({0, 0, 0}, 24, 20).chord_mm, 8.335, 1e-3, "mm", 'V', source),
      row_of("J2", "angle after 20 deg, centred", degrees(cut({0, 0, 0}, 24, 20).achieved_angle_rad), 5, 0.05, "deg", 'V', tilt),
      row_of("J2", "angle after 20 deg, centre 10 mm distal (at most)", degrees(cut({0, 0, -10}, 24, 20).achieved_angle_rad), 6,
             0.05, "deg", 'V', tilt)};
}

Rows slope_rule()
{
  const std::string source = "joint.md section 2, S/N = tan(plateau angle): analytic";
  Rows rows;
  for (const auto &[slope, ratio] : {std::pair{25.0, 0.466}, {6.5, 0.114}})
  {
    Scenario s; // a dog with this native slope: no arc, so no tilt of the axis
    s.tibia.plateau_angle_deg = slope;
    const OperatedAnatomy bone = bone_at(s, slope);
    const StanceLoad load = set_load(s, bone, LoadSet::axial, radians(135), 100);
    const JointState state = solve_joint({s, bone, LigamentState::intact, LoadSet::axial, load});
    rows.push_back(row_of("J3", fmt::format("S/N at {:g} deg, axial 100 N", slope), state.thrust_n / state.normal_n, ratio,
                          0.01 * ratio, "", 'V', source));
  }
  return rows;
}

/// Tendon against the common tangent of the contact, deg: the plateau line turned to the tangent at the contact centre.
double tangent_angle_deg(const JointState &state)
{
  Vector3 push = Vector3::Zero();
  for (const PointForce &p : state.on_tibia)
    if (p.name.rfind("contact", 0) == 0)
      push += p.force_n;
  const Vector3 chord = plateau_chord(make_anatomy(Scenario())), normal = plateau_normal(make_anatomy(Scenario()));
  const double tilt = std::atan2(push.dot(chord), -push.dot(normal)); // > 0: the contact lies caudal and the tangent is steeper
  return degrees(state.tendon_angle_rad + tilt);
}

Rows tendon_angle()
{
  const std::string where = "pose under 20 N axial, intact, unoperated; tuberosity and trochlea not placed to fit";
  const JointState at = pressed(25, 135, 20, LigamentState::intact, LoadSet::axial);
  std::vector<double> flexion, line, tangent;
  for (double deg = 60; deg <= 160; deg += 10)
  {
    const JointState state = pressed(25, deg, 20, LigamentState::intact, LoadSet::axial);
    flexion.push_back(deg);
    line.push_back(degrees(state.tendon_angle_rad));
    tangent.push_back(tangent_angle_deg(state));
  }
  const Line a = fit_line(flexion, line), b = fit_line(flexion, tangent);
  const std::string source = "10.2460/ajvr.67.11.1849 (abstract); straight line through 60-160 deg; " + where;
  const std::string line_why =
      "; misses because the assumed tuberosity and trochlea give 99 instead of 107 deg at 135: not moved to fit";
  const std::string tangent_why = "; misses because contact here lies caudal in flexion, where the tangent is steeper than the "
                                  "plateau line; on the published films it is less steep";
  return {row_of("J4", "tendon angle to the plateau line, stifle 135", degrees(at.tendon_angle_rad), 106.9, 8, "deg", 'E',
                 "VCOT 2013;26:266 (abstract); " + where),
          row_of("J4", "tendon angle to the common tangent, stifle 135", tangent_angle_deg(at), 99, 12, "deg", 'E',
                 "SciELO paper in joint.md section 2 (abstract); " + where),
          row_of("J5", "stifle angle where the tendon angle is 90, plateau line", (90 - a.intercept) / a.slope, 90, 10, "deg",
                 'E', source + line_why),
          row_of("J5", "the same, common tangent", (90 - b.intercept) / b.slope, 110, 10, "deg", 'E', source + tangent_why),
          row_of("J5", "R2 of the tendon angle against the stifle angle, plateau line", a.r_squared, 1, 0.05, "", 'E', source)};
}

Rows caudal_thrust()
{
  std::vector<double> load, thrust;
  int caudal = 0;
  for (double force = 50; force <= 300; force += 50)
  {
    const JointState state = pressed(5, 135, force, LigamentState::torn);
    load.push_back(force);
    thrust.push_back(state.thrust_n);
    caudal += state.thrust_n < 0 && state.cruciate_caudal_n > 0;
  }
  const std::string source = "Vet Surg 2002;31:147 (memory); set press, slope 5, 50 to 300 N in steps of 50";
  return {row_of("J7", "loads (of 6) with caudal thrust and a loaded caudal cruciate", caudal, 6, 0, "", 'E', source),
          row_of("J7", "R2 of thrust against load", fit_line(load, thrust).r_squared, 1, 0.05, "", 'E', source),
          row_of("J7", "thrust at 300 N is caudal (no size published): 1 yes", thrust.back() < 0, 1, 0, "", 'E', source)};
}

Rows tendon_load()
{
  const auto tendon = [](double slope) { return pressed(slope, 135, 125, LigamentState::intact).patellar_tendon_n; };
  const double native = tendon(25);
  const std::string source = "10.1055/s-0038-1627476 (abstract): 308, 313, 303 N; set press 125 N, intact";
  const std::string why = "; rises because the cruciate in charge changes: cranial of the contact the cranial one helps the "
                          "tendon to straighten the joint, the caudal one bends it";
  return {
      row_of("J8", "change of the tendon force, slope 25 to 6.5", 100 * (tendon(6.5) / native - 1), 1.6, 10, "%", 'E',
             source + why),
      row_of("J8", "change of the tendon force, slope 25 to 1", 100 * (tendon(1) / native - 1), -1.6, 10, "%", 'E', source + why),
      row_of("J9", "tendon force in the press, 125 N, stifle 135", native, 305, 55, "N", 'E',
             source + "; the load of the press is not stated there", false)};
}

double subluxation_mm(const std::string &activity)
{
  const Scenario s;
  const Activity table = activity_named(activity);
  const auto at = [&](LigamentState state)
  { return solve_instant(s, bone_at(s, 25), state, LoadSet::stance, &table, 50).translation_cranial_mm; };
  return at(LigamentState::torn) - at(LigamentState::intact);
}

double levelled_shift_mm()
{
  const Scenario s;
  const Activity stand = activity_named("stand");
  const auto at = [&](double slope, LigamentState state)
  { return solve_instant(s, bone_at(s, slope), state, LoadSet::stance, &stand, 50).translation_cranial_mm; };
  return at(5.5, LigamentState::torn) - at(25, LigamentState::intact);
}

Rows subluxation()
{
  const std::string slack = "; joint.secondary_slack_mm 7 was chosen with this size in view, so not independent";
  const auto shift = [](double stifle)
  {
    const double force = 0.3 * make_anatomy(Scenario()).body_weight_n;
    return pressed(25, stifle, force, LigamentState::torn).translation_cranial_mm -
           pressed(25, stifle, force, LigamentState::intact).translation_cranial_mm;
  };
  const std::string source = "10.1111/j.1532-950X.2010.00655.x (abstract); set press, 30 % of body weight, no repair";
  return {row_of("J10", "cranial subluxation, walk 50 %, torn", subluxation_mm("walk"), 9.7, 3, "mm", 'E',
                 "PMC5848543 (abstract)" + slack, false),
          row_of("J11", "cranial subluxation, standing, torn", subluxation_mm("stand"), 6.3, 4.8, "mm", 'E',
                 "10.1111/j.1532-950X.2012.00973.x (abstract), 2 SD" + slack, false),
          row_of("J12", "shift against intact, standing, torn, levelled to 5.5 (bed without menisci)", levelled_shift_mm(), 0,
                 1.5, "mm", 'E', "10.1111/j.1532-950X.2012.00973.x (abstract)"),
          row_of("J13", "cranial shift at stifle 90", shift(90), 0, 2, "mm", 'E', source),
          row_of("J13", "cranial shift at stifle 135 is marked (> 2 mm): 1 yes", shift(135) > 2, 1, 0, "", 'E', source)};
}

Rows cylinder_on_bed()
{
  ContactBed bed;
  bed.plateau_radius_mm = 1e12;
  const double R = bed.condyle_radius_mm, depth = 0.5, h = R - depth, a = std::sqrt(R * R - h * h);
  const double closed = bed.stiffness_mpa_per_mm * bed.width_mm * (R * R * std::asin(a / R) - a * h);
  return {row_of("S20", "cylinder on a flat bed of springs, 0.5 mm deep", -contact_force(bed, 1.0, h).force_n.z, closed,
                 1e-8 * closed, "N", 'V', "closed form: k w (R^2 asin(a/R) - a (R - d)), a^2 = R^2 - (R - d)^2")};
}

Rows single_cord()
{
  Scenario s;
  s.tibia.plateau_angle_deg = 20;
  const OperatedAnatomy bone = bone_at(s, 20);
  BalanceSetup setup({s, bone, LigamentState::intact, LoadSet::axial, set_load(s, bone, LoadSet::axial, radians(135), 300)});
  setup.bed.plateau_radius_mm = 1e12; // flat: contact has no part along the chord
  const Equilibrium e = find_equilibrium(setup, 0);
  const auto b = balance<double>(setup, e.t_mm, e.n_mm, e.tendon_n);
  return {row_of("S21", "chord part of the cranial cruciate alone against 300 N axial at 20 deg",
                 -dot(b.cranial_force, in_plane<double>(setup.chord)), 300 * std::sin(radians(20)), 1e-6, "N", 'V',
                 "statics: F sin(slope) on a flat frictionless plateau")};
}

Rows free_body()
{
  const Scenario s;
  double worst = 0;
  for (const Activity &activity : {activity_named("stand"), activity_named("walk"), activity_named("trot")})
    for (const double slope : {25.0, 10.0, 0.0})
      for (const LigamentState ligament : {LigamentState::intact, LigamentState::torn})
      {
        const OperatedAnatomy bone = bone_at(s, slope);
        const JointState state = solve_instant(s, bone, ligament, LoadSet::stance, &activity, 50);
        Vector3 force = state.hock_on_tibia, moment = Vector3::Zero();
        for (const PointForce &p : state.on_tibia)
        {
          force += p.force_n;
          moment += (p.point_mm - bone.anatomy.hock_centre).cross(p.force_n);
        }
        const double size = state.hock_on_tibia.norm();
        worst = std::max({worst, force.norm() / size, std::abs(moment.y()) / (200 * size), state.converged ? 0.0 : 1.0});
      }
  return {row_of("S22", "free body of the tibia, worst force or moment left over", worst, 0, 1e-8, "of the hock force", 'V',
                 "static equilibrium; stand, walk, trot, slopes 25, 10, 0, intact and torn")};
}

double neutral_deg(LoadSet set, const std::string &activity = "walk")
{
  const Scenario s;
  const Activity table = activity_named(activity);
  const auto angle = neutral_plateau_angle(s, make_anatomy(s), set, &table, 50);
  return angle ? degrees(*angle) : std::nan("");
}

Rows neutral_slopes()
{
  const Anatomy a = make_anatomy(Scenario());
  const double tendon = neutral_deg(LoadSet::tendon);
  const JointState state = pressed(tendon, 135, Scenario().loads.axial_force_n, LigamentState::intact, LoadSet::tendon);
  const Vector3 line = (state.patella - a.tendon_insertion).normalized();
  const double against = 180 - degrees(std::acos(line.dot(plateau_chord(a))));
  const std::string sheet = "joint.md section 2: 8 to 15 for the stance inputs (derived); computed, never entered";
  return {
      row_of("S23", "neutral slope, set axial", neutral_deg(LoadSet::axial), 0, 1e-6, "deg", 'V', "F sin(slope) = 0"),
      row_of("S23", "neutral slope, set tendon", tendon, 25 - (against - 90), 0.1, "deg", 'V',
             fmt::format("identity slope - (tendon angle - 90); tendon as it stands at that slope, {:.2f} deg against the "
                         "unoperated plateau line",
                         against)),
      row_of("S24", "neutral slope, set stance, walk 50 %", neutral_deg(LoadSet::stance), 11.5, 3.5, "deg", 'E', sheet),
      row_of("J6", "neutral slope, set press, stifle 135", neutral_deg(LoadSet::press), 6.5, 1.8, "deg", 'E',
             "Vet Surg 2001;30:278 (memory), 2 SD; misses because here the press pushes towards the hip, 22 deg caudal of the "
             "tibial axis, so that its own part along the plateau vanishes near 22 deg and the tendon decides")};
}
/// The rows of one id out of a group that is computed together.
CheckCase only(const std::string &id, Rows (*group)())
{
  return {id, [id, group]
          {
            Rows rows = group();
            rows.erase(std::remove_if(rows.begin(), rows.end(), [&](const CheckRow &r) { return r.id != id; }), rows.end());
            return rows;
          }};
}
} // namespace

std::vector<CheckCase> joint_checks()
{
  return {only("J1", chord_and_angle), only("J2", chord_and_angle),  only("J3", slope_rule),    only("J4", tendon_angle),
          only("J5", tendon_angle),    only("J6", neutral_slopes),   only("J7", caudal_thrust), only("J8", tendon_load),
          only("J9", tendon_load),     only("J10", subluxation),     only("J11", subluxation),  only("J12", subluxation),
          only("J13", subluxation),    only("S20", cylinder_on_bed), only("S21", single_cord),  only("S22", free_body),
          only("S23", neutral_slopes), only("S24", neutral_slopes)};
}
} // namespace stifle::checks
