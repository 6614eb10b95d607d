// Contact of the spatial joint: J14 and J15 levelling, J16 strain of the cranial cruciate, J17 loss of the medial meniscus.
#include "models/joint/layer.h"
#include "models/joint/spatial_balance.h"
#include "scenarios/checks/joint_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
constexpr double levelled_deg = 5.5; ///< middle of 5 to 6
const std::array<std::string, 2> sides = {"medial", "lateral"};

struct Pair
{
  JointCase before_case, after_case;
  JointState before, after;
  /// Cranial of the intercondylar point along the plateau.
  static double centre_mm(const JointCase &c, const JointState &s, int side)
  {
    return (s.contact_centre[side] - c.bone.plateau_origin).dot(plateau_chord(c.bone.anatomy));
  }
  double caudal_shift_mm(int side) const { return centre_mm(before_case, before, side) - centre_mm(after_case, after, side); }
};

/// Intact against torn and levelled in the press, 30 % of the body weight.
Pair operated(double stifle_deg)
{
  const Scenario s = dog(3);
  const Press before = {25, stifle_deg, thirty_percent_n()};
  const Press after = {levelled_deg, stifle_deg, thirty_percent_n(), LigamentState::torn};
  return {press_case(s, before), press_case(s, after), pressed(s, before), pressed(s, after)};
}

double area(const JointState &s) { return s.contact_area_mm2[medial] + s.contact_area_mm2[lateral]; }

Rows contact_at_135()
{
  const Pair p = operated(135);
  const std::string source =
      "Vet Surg 2009;38:23 (abstract); set press, 30 % of body weight, intact against torn levelled to 5.5";
  const std::string why =
      fmt::format("the press over-levels here (J6): thrust {:.0f} N intact and {:.0f} N levelled, so the tibia stands "
                  "cranial of its rest before and caudal of it after, against the caudal cruciate, and the contact "
                  "moves cranially with the femur",
                  p.before.thrust_n, p.after.thrust_n);
  Rows rows = {
      because(stated("J14", "contact area is smaller than intact", area(p.after) < area(p.before),
                     source + fmt::format("; {:.1f} against {:.1f} mm2", area(p.after), area(p.before))),
              fmt::format("every cell of both menisci still touches and the joint force rises from {:.0f} to {:.0f} N with the "
                          "need of the tendon",
                          p.before.joint_force_n, p.after.joint_force_n))};
  for (int side : {medial, lateral})
    rows.push_back(because(stated("J14", sides[side] + " centre of pressure lies more caudal", p.caudal_shift_mm(side) > 0,
                                  source + fmt::format("; {:.2f} mm more caudal", p.caudal_shift_mm(side))),
                           why));
  rows.push_back(because(reported("J14", "cranial shift against intact",
                                  p.after.translation_cranial_mm - p.before.translation_cranial_mm, {0, 1, "mm"}, source),
                         why));
  rows.push_back(reported("J14", "internal rotation against intact",
                          degrees(p.after.rotation_internal_rad - p.before.rotation_internal_rad), {0, 2, "deg"}, source));
  rows.push_back(reported("J14", "varus against intact", degrees(p.after.varus_rad - p.before.varus_rad), {0, 2, "deg"}, source));
  return rows;
}

Rows contact_at_90()
{
  const Pair p = operated(90);
  const auto mean = [](const JointState &s) { return s.contact_medial_n / s.contact_area_mm2[medial]; };
  const std::string source =
      "10.1111/j.1532-950X.2010.00655.x (abstract); set press, 30 % of body weight, intact against torn levelled to 5.5";
  const std::string why =
      fmt::format("the arc of the model turns about the medial axis alone and both condyles are alike: levelling has "
                  "no part in the frontal plane, and the caudal thrust ({:.0f} N) with {:.0f} N more in the tendon "
                  "presses both sides",
                  p.after.thrust_n, p.after.patellar_tendon_n - p.before.patellar_tendon_n);
  return {because(reported("J15", "change of the medial mean pressure, stifle 90", 100 * (mean(p.after) / mean(p.before) - 1),
                           {18, 10, "%"}, source),
                  why),
          because(reported("J15", "change of the lateral peak (cartilage), stifle 90",
                           100 * (p.after.cartilage_peak_mpa[lateral] / p.before.cartilage_peak_mpa[lateral] - 1), {-26, 12, "%"},
                           source),
                  why),
          because(reported("J15", "varus against intact, stifle 90", degrees(p.after.varus_rad - p.before.varus_rad),
                           {6, 3, "deg"}, source),
                  why)};
}

/// Strain of the craniomedial bundle, intact, axial load.
struct Cruciate
{
  double strain, force_n;
};
Cruciate cruciate(double slope_deg, double force_n)
{
  const Scenario s = dog(3);
  const Press press = {slope_deg, 135, force_n, LigamentState::intact, LoadSet::axial};
  const JointState pose = pressed(s, press);
  const SpatialSetup setup(press_case(s, press));
  const RigidPose femur = pose_of(setup, Eigen::Map<const Vector7>(pose.unknowns.data())).femur;
  const Bundle &b = setup.anatomy.joint.bundles.front(); // craniomedial
  return {(femur.turn * b.femur + femur.shift_mm - b.tibia).norm() / b.rest_mm - 1, pose.cruciate_cranial_n};
}

Rows cruciate_strain()
{
  const std::string source = "10.1111/j.1532-950X.2014.12219.x (abstract: trend; numbers: brief); intact, set axial, stifle 135, "
                             "the arc turned so that the slope runs from 5 to 45";
  int broken = 0;
  for (double force : {100.0, 200.0, 300.0})
    for (double slope = 5; slope <= 45; slope += 5)
    {
      const double here = cruciate(slope, force).strain;
      broken += slope > 5 && here <= cruciate(slope - 5, force).strain;
      broken += force > 100 && here <= cruciate(slope, force - 100).strain;
    }
  const Cruciate low = cruciate(5, 200), high = cruciate(45, 200);
  return {
      reported("J16", "strain: steps of slope or load without a rise", broken, {0, 0, "of 42"}, source),
      because(reported("J16", "strain ratio, slope 45 to 5, 200 N", high.strain / low.strain, {1.68, 0.3, ""},
                       source + fmt::format("; strains {:.2f} and {:.2f} %, forces {:.0f} and {:.0f} N", 100 * high.strain,
                                            100 * low.strain, high.force_n, low.force_n)),
              "without muscle and friction the ligaments take all of the shear F sin(slope), 17 N at 5 and 141 N at 45 deg; the "
              "load and the end points of the published ratio are not known")};
}

/// Cartilage of the medial plateau above 10 MPa, by counting on a grid: the four rings of the bed are too few for an area.
double high_pressure_area_mm2(const JointCase &c, const JointState &state)
{
  constexpr double step_mm = 0.05;
  const SpatialSetup setup(c);
  const RigidPose femur = pose_of(setup, Eigen::Map<const Vector7>(state.unknowns.data())).femur;
  const PlateauSide &bed = setup.anatomy.joint.plateaus[medial];
  const double stiffness = bonded_modulus_mpa(c.scenario.joint.layer_modulus_mpa) / c.scenario.joint.layer_thickness_mm;
  double sum = 0;
  for (double s = -bed.half_length_mm + step_mm / 2; s < bed.half_length_mm; s += step_mm)
    for (double y = bed.offset_mm - bed.half_width_mm + step_mm / 2; y < bed.offset_mm + bed.half_width_mm; y += step_mm)
    {
      const Vector3 point = setup.beds[medial].surface_point(s, y);
      if (stiffness * condyle_distance(setup.anatomy.joint.condyles[medial], femur, point).depth_mm > high_pressure_mpa)
        sum += step_mm * step_mm * std::hypot(1, s / bed.sagittal_radius_mm, (y - bed.offset_mm) * bed.coronal_curvature_per_mm);
    }
  return sum;
}

double pressed_area_mm2(double slope_deg, const std::string &meniscus, double force_n)
{
  Scenario s = dog(3);
  s.joint.meniscus_medial = meniscus;
  const Press press = {slope_deg, 135, force_n};
  return high_pressure_area_mm2(press_case(s, press), pressed(s, press));
}

Rows meniscus_lost()
{
  const double force = 0.5 * make_anatomy(Scenario()).body_weight_n;
  const std::string source =
      "pressure-film study of joint.md section 5 (abstract, load not stated there); set press, half the body "
      "weight, stifle 135, cruciates intact, against the whole meniscus at the same slope";
  Rows rows;
  for (const auto &[slope, ratio, band] : {std::tuple{25.0, 2.6, 0.9}, {levelled_deg, 1.75, 0.55}})
  {
    const double whole = pressed_area_mm2(slope, "intact", force), lost = pressed_area_mm2(slope, "caudal_pole_removed", force);
    const double more = pressed_area_mm2(slope, "caudal_pole_removed", 200) / pressed_area_mm2(slope, "intact", 200);
    rows.push_back(because(
        reported(
            "J17", fmt::format("area > 10 MPa, caudal pole lost / whole, slope {:g}", slope), lost / whole, {ratio, band, ""},
            source + fmt::format("; {:.1f} against {:.1f} mm2; the ratio hangs on the load: {:.2f} at 200 N", lost, whole, more)),
        "the load is our choice and the whole joint only just passes 10 MPa under it, so that little is divided by less"));
  }
  return rows;
}
} // namespace

std::vector<CheckCase> contact_checks()
{
  return {{"J14", contact_at_135}, {"J15", contact_at_90}, {"J16", cruciate_strain}, {"J17", meniscus_lost}};
}
} // namespace stifle::checks
