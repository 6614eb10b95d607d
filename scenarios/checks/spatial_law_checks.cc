// Laws of the spatial joint on joints built by hand: S25 frictionless slope, S26 one ligament against gravity, S27 bed of
// springs, S28 mirror, S29 turned limb, S30 reciprocity, S31 rate of Newton.
#include "models/core/error.h"
#include "models/joint/spatial_equilibrium.h"
#include "scenarios/checks/joint_support.h"
#include <fmt/format.h>

namespace stifle::checks
{
namespace
{
constexpr double flat_mm = 1e12;

Bundle cord(const Vector3 &tibia, const Vector3 &femur, double rest_mm)
{
  Bundle b;
  b.name = "cord";
  b.group = "cruciate_cranial";
  b.tibia = tibia;
  b.femur = femur;
  b.stiffness_n_per_mm = 200;
  b.rest_mm = rest_mm;
  return b;
}

/// Dog of a native slope whose joint is two flat plateaus, no menisci and one cord.
JointCase one_cord(double slope_deg, const Bundle &only, double force_n)
{
  Scenario s = dog(3);
  s.tibia.plateau_angle_deg = slope_deg;
  JointCase c = press_case(s, {slope_deg, 135, force_n, LigamentState::intact, LoadSet::axial});
  JointParts &j = c.bone.anatomy.joint;
  j.bundles = {only};
  for (int side : {medial, lateral})
  {
    j.plateaus[side].sagittal_radius_mm = flat_mm;
    j.plateaus[side].coronal_curvature_per_mm = 0;
    j.menisci[side].removed = true;
  }
  return c;
}

Vector7 solved(const SpatialEquilibrium &e)
{
  if (!e.converged)
    throw Error("the joint built by hand did not converge: " + e.reason);
  return e.unknowns;
}

/// Sum of the forces of both plateaus on the tibia.
Vector3 contact_of(const SpatialBalance &b) { return (b.contact[medial].on_tibia + b.contact[lateral].on_tibia).head<3>(); }

Rows frictionless_slope()
{
  const double force = 300, slope = radians(20);
  const SpatialSetup setup(one_cord(20, cord({8, 0, 2}, {0, 0, 0.5}, 14), force));
  Vector7 start = reference_unknowns(setup);
  start(0) = -5; // the cord is taut
  // On flat plateaus nothing holds the other parts of the pose; by symmetry nothing loads them.
  const Vector7 y = solved(spatial_newton(setup, start, {true, false, true, false, false, false, false}));
  const SpatialBalance b = spatial_balance(setup, y);
  const Vector3 chord = setup.plateau.axes.col(0), normal = setup.plateau.axes.col(2), &pull = b.bundle_forces.front();
  const std::string source = "statics: frictionless plane, one cord in the sagittal plane";
  return {
      law("S25", "cord along the slope, 300 N axial at 20 deg", -pull.dot(chord), {force * std::sin(slope), 1e-6, "N"}, source),
      law("S25", "contact along the flat slope", contact_of(b).dot(chord), {0, 1e-6, "N"}, source),
      law("S25", "contact across the slope less the cord's part", -contact_of(b).dot(normal) - pull.dot(normal),
          {force * std::cos(slope), 1e-6, "N"}, source),
      law("S25", "left over in the parts of the pose held", b.residual.head<5>().cwiseAbs().maxCoeff(), {0, 1e-6, "N"}, source)};
}

Rows hanging_tibia()
{
  const double rest = 60, weight = 40;
  const Vector3 on_tibia(2, 3, -10), on_femur(-4, 5, 12);
  JointCase c = one_cord(25, cord(on_tibia, on_femur, rest), 0);
  c.load.crus_weight = -weight * Vector3::UnitZ();
  c.bone.anatomy.tendon_length_mm = 63; // carries nothing, but has to reach
  const SpatialSetup setup(c);
  const Bundle &b = c.bone.anatomy.joint.bundles.front();
  Vector7 start = Vector7::Zero(); // 5 mm off the plumb line, cord a little taut
  const Vector3 femur_end = on_tibia + Vector3(4, 3, 62);
  start.head<3>() = setup.plateau.axes.transpose() * (femur_end - setup.flexion * on_femur - setup.plateau.origin_mm);
  const Vector7 y = solved(spatial_newton(setup, start, {true, true, true, false, false, false, false}));
  const Vector3 at = pose_of(setup, y).femur.turn * on_femur + pose_of(setup, y).femur.shift_mm - on_tibia;
  const double stretched = weight / b.stiffness_n_per_mm + rest * (1 + b.toe_strain / 2);
  const double in_toe = rest * (1 + std::sqrt(2 * b.toe_strain * weight / (b.stiffness_n_per_mm * rest)));
  const double closed = weight < b.stiffness_n_per_mm * rest * b.toe_strain / 2 ? in_toe : stretched;
  const std::string source =
      "closed form: plumb line; force = k L0 strain^2 / (2 toe) in the toe, then linear; 40 N on 200 N/mm, 60 mm";
  return {law("S26", "tibia on one cord, length of the cord", at.norm(), {closed, 1e-8, "mm"}, source),
          law("S26", "tibia on one cord, off the plumb line", at.head<2>().norm(), {0, 1e-6, "mm"}, source)};
}

/// One condyle on a flat level bed of 15 MPa/mm, pressed in by `depth`.
BedWrench pressed_in(double sagittal_mm, double coronal_mm, double depth_mm, const BedRule &rule)
{
  Condyle condyle;
  condyle.sagittal_radius_mm = sagittal_mm;
  condyle.coronal_radius_mm = coronal_mm;
  PlateauSide plateau;
  plateau.offset_mm = 0;
  plateau.sagittal_radius_mm = flat_mm;
  RigidPose femur;
  femur.shift_mm.z() = sagittal_mm - depth_mm;
  return CondyleBed(condyle, plateau, PlateauFrame(), 15, rule).wrench(femur);
}

Rows sphere_on_bed()
{
  const double R = 13, k = 15, depth = 0.5, c = R - depth;
  const double force = pi * k * c * depth * depth, load = 2 * pi * k * (R * (R * R - c * c) / 2 - (R * R * R - c * c * c) / 3);
  const auto push = [](double d, const BedRule &rule) { return -pressed_in(13, 13, d, rule).on_tibia.z(); };
  const BedRule usual, fine{32, 8};
  const std::string source = "closed form: F = pi k (R - d) d^2, integral over the cap of k h along the normal of the sphere; "
                             "sphere of 13 mm, 0.5 mm deep, flat bed of 15 MPa/mm";
  const double order = std::log(push(0.02, fine) / push(0.01, fine)) / std::log(2.0);
  const std::string hertz =
      "closed form: d^2 (R - d). Not Hertz, where two half-spaces give 4/3 E* sqrt(R) d^1.5: springs do not "
      "help one another, as in a thin layer on bone; force starts softer, area is 2 pi R d, not pi R d";
  const double exact = 2 + std::log((R - 0.02) / (R - 0.01)) / std::log(2.0);
  const double width = 14, half = std::sqrt(R * R - c * c), cylinder = k * width * 2 * c * (R * std::asinh(half / c) - half);
  return {
      law("S27", "sphere on a flat bed, force", push(depth, usual), {force, 5e-3 * force, "N"}, source + "; bed of the joint"),
      law("S27", "sphere on a flat bed, force, bed fourfold finer", push(depth, fine), {force, 1e-6 * force, "N"}, source),
      law("S27", "sphere on a flat bed, integral of the pressure", pressed_in(R, R, depth, fine).load_n, {load, 1e-6 * load, "N"},
          "closed form: 2 pi k (R (R^2 - c^2) / 2 - (R^3 - c^3) / 3), c = R - d"),
      law("S27", "sphere on a flat bed, area", pressed_in(R, R, depth, fine).area_mm2,
          {pi * (R * R - c * c), 1e-6 * pi * (R * R - c * c), "mm2"}, "closed form: pi (R^2 - c^2), close to 2 pi R d"),
      law("S27", "sphere on a flat bed, order of the force in depth", order, {exact, 1e-5, ""}, hertz),
      law("S27", "cylinder on a flat bed, force", -pressed_in(R, 0, depth, usual).on_tibia.z(), {cylinder, 5e-3 * cylinder, "N"},
          "closed form: 2 k w c (R asinh(a/c) - a), a^2 = R^2 - c^2; cut off by the edge of the plateau, w = 14 mm")};
}

Vector3 mirrored(const Vector3 &v) { return {v.x(), -v.y(), v.z()}; }

/// The other limb of the same dog: every y turned round, medial and lateral change places.
JointCase mirrored(JointCase c)
{
  JointParts &j = c.bone.anatomy.joint;
  std::swap(j.condyles[medial], j.condyles[lateral]);
  std::swap(j.plateaus[medial], j.plateaus[lateral]);
  std::swap(j.menisci[medial], j.menisci[lateral]);
  std::swap(j.fabella[medial], j.fabella[lateral]);
  for (int side : {medial, lateral})
  {
    j.condyles[side].centre = mirrored(j.condyles[side].centre);
    j.plateaus[side].offset_mm *= -1;
    j.menisci[side].centre_y_mm *= -1;
    j.fabella[side] = mirrored(j.fabella[side]);
  }
  for (Bundle &b : j.bundles)
  {
    b.tibia = mirrored(b.tibia);
    b.femur = mirrored(b.femur);
    if (b.group == "collateral_medial" || b.group == "collateral_lateral")
      b.group = b.group == "collateral_medial" ? "collateral_lateral" : "collateral_medial";
  }
  c.scenario.joint.tendon_offset_medial_mm *= -1;
  Anatomy &a = c.bone.anatomy;
  StanceLoad &l = c.load;
  for (Vector3 *v : {&j.popliteus_femur, &j.popliteus_tibia, &a.hock_centre, &a.hamstrings_origin, &a.hamstrings_tibia,
                     &l.ground_force, &l.centre_of_pressure, &l.toe_joint, &l.hock_centre, &l.calcaneus_tip, &l.foot_weight,
                     &l.foot_centre, &l.crus_weight, &l.crus_centre})
    *v = mirrored(*v);
  return c;
}

/// Walk 50 % with what breaks the symmetry of the dog further.
JointCase lopsided(LigamentState ligament)
{
  Scenario s = dog(3);
  s.joint.tendon_offset_medial_mm = 1;
  s.limb.popliteus_n = 20;
  s.limb.hamstrings_n = 20;
  JointCase c = stance_case(s, 25, ligament, "walk");
  c.load.ground_force.y() += 2;
  c.load.centre_of_pressure.y() += 1;
  return c;
}

Rows mirror()
{
  double worst = 0, side_mm = 0;
  for (LigamentState ligament : {LigamentState::intact, LigamentState::torn})
  {
    const JointCase c = lopsided(ligament);
    const JointState a = solved_joint(c, "walk 50 %"), b = solved_joint(mirrored(c), "walk 50 %, mirrored");
    const double signs[] = {1, -1, 1, -1, -1, 1, 1};
    for (int i = 0; i < 7; ++i)
      worst = std::max(worst, std::abs(a.unknowns[i] - signs[i] * b.unknowns[i]) / (i == 5 ? a.patellar_tendon_n : 1));
    worst = std::max({worst, std::abs(a.contact_medial_n / b.contact_lateral_n - 1),
                      std::abs(a.contact_lateral_n / b.contact_medial_n - 1),
                      std::abs(a.cruciate_cranial_n - b.cruciate_cranial_n) / a.joint_force_n,
                      std::abs(a.cruciate_caudal_n - b.cruciate_caudal_n) / a.joint_force_n,
                      std::abs(a.collateral_medial_n - b.collateral_lateral_n) / a.joint_force_n,
                      std::abs(a.collateral_lateral_n - b.collateral_medial_n) / a.joint_force_n});
    side_mm = std::max(side_mm, std::abs(a.unknowns[1]));
  }
  return {law(
      "S28", "mirrored limb: worst difference of pose and forces", worst, {0, 1e-10, "mm, relative"},
      fmt::format("symmetry: y turned round, medial and lateral exchanged; walk 50 %, side force, offset tendon, popliteus; the "
                  "case is not symmetric: the femur stands {:.2f} mm off the middle",
                  side_mm))};
}

/// The limb in the world: turned by an angle about the medial axis, ground force and gravity with it.
JointCase turned_limb(double angle_deg)
{
  const Scenario s = dog(3);
  Activity walk = activity_named("walk");
  const double c = std::cos(radians(angle_deg)), n = std::sin(radians(angle_deg));
  for (ActivityRow &row : walk.rows)
  {
    row.tibia_tilt_deg += angle_deg;
    row.metatarsus_tilt_deg -= angle_deg;
    row.femur_tilt_deg -= angle_deg;
    const double up = row.force_up_bw, cranial = row.force_cranial_bw;
    row.force_up_bw = c * up - n * cranial;
    row.force_cranial_bw = c * cranial + n * up;
    row.centre_of_pressure_mm = 0; // the ground would turn too
  }
  const OperatedAnatomy bone = bone_at(s, 25);
  JointCase turned = {s, bone, LigamentState::intact, LoadSet::stance, stance_load(s, bone.anatomy, walk, 50)};
  const Matrix3 back = rotation_about_y(-radians(angle_deg)); // gravity of the upright world, seen by the turned tibia
  turned.load.foot_weight = back * turned.load.foot_weight;
  turned.load.crus_weight = back * turned.load.crus_weight;
  return turned;
}

/// The load in a frame that is turned about any axis.
CheckRow turned_about_three_axes()
{
  double worst = 0;
  for (LigamentState ligament : {LigamentState::intact, LigamentState::torn})
  {
    const JointCase here = lopsided(ligament);
    const JointState a = solved_joint(here, "walk 50 %");
    for (const Vector3 &axis : {Vector3(1, 0, 0), Vector3(0, 1, 0), Vector3(0, 0, 1)})
    {
      JointCase there = here;
      there.load = rotated(here.load, Eigen::AngleAxisd(0.9, axis).toRotationMatrix());
      const JointState b = solved_joint(there, "walk 50 %, turned");
      for (std::size_t i = 0; i < a.unknowns.size(); ++i)
        worst = std::max(worst, std::abs(a.unknowns[i] - b.unknowns[i]) / std::max(1.0, std::abs(a.unknowns[i])));
    }
  }
  return law(
      "S29", "the same about all three axes, with side force", worst, {0, 1e-9, "mm, relative"},
      "frame indifference: walk 50 %, intact and torn, side force, offset tendon, popliteus and hamstrings; the load given in a "
      "frame turned by 0.9 rad");
}

Rows turned_world()
{
  const JointState upright = solved_joint(turned_limb(0), "walk 50 %");
  double worst = 0;
  for (double angle : {-20.0, 35.0})
  {
    const JointState turned = solved_joint(turned_limb(angle), "walk 50 %, turned");
    for (std::size_t i = 0; i < upright.unknowns.size(); ++i)
      worst = std::max(worst, std::abs(turned.unknowns[i] - upright.unknowns[i]) / std::max(1.0, std::abs(upright.unknowns[i])));
    worst = std::max(worst, std::abs(turned.thrust_n - upright.thrust_n) / upright.joint_force_n);
  }
  return {law("S29", "limb, ground force and gravity turned together", worst, {0, 1e-9, "mm, relative"},
              "frame indifference: walk 50 % leaned by -20 and 35 deg in the activity table, ground force and weights turned "
              "with it"),
          turned_about_three_axes()};
}

Rows reciprocity()
{
  double worst = 0, least = 1e30;
  for (double flexion : {140.0, 100.0})
    for (double slope : {25.0, 5.0})
    {
      const JointCase c = press_case(dog(3), {slope, flexion, 200, LigamentState::intact, LoadSet::axial});
      SpatialSetup setup(c);
      const Vector7 y = solved(find_spatial_equilibrium(setup, reference_unknowns(setup)));
      setup.load.ground_force.setZero(); // what is left is elastic: condyles, menisci, ligaments
      const Eigen::Matrix<double, 5, 5> k = spatial_balance(setup, y).slope.topLeftCorner<5, 5>();
      worst = std::max(worst, (k - k.transpose()).cwiseAbs().maxCoeff() / k.cwiseAbs().maxCoeff());
      least =
          std::min(least, Eigen::SelfAdjointEigenSolver<Eigen::Matrix<double, 5, 5>>((k + k.transpose()) / 2).eigenvalues()(0));
    }
  return {law("S30", "stiffness of contact and ligaments: asymmetry", worst, {0, 1e-8, "relative"},
              "reciprocity: the slope of a gradient is symmetric; pose block at equilibrium under 200 N axial, slopes 25 and 5, "
              "stifle 140 and 100; applied forces taken off, they have no potential in rotations"),
          law("S30", "the same is stable: least eigenvalue above 0 (1 yes)", least > 0, {1, 0, ""},
              fmt::format("stability of the loaded pose; least {:.3f} N/mm", least))};
}

/// Order of convergence: slope of log r(k+1) against log r(k) over Newton runs from several distances, above `noise_n`.
double newton_order(const SpatialSetup &setup, const Vector7 &solution, double noise_n)
{
  std::vector<double> here, next;
  for (double off_mm : {0.002, 0.005, 0.01, 0.02, 0.05})
  {
    const Vector7 near = solution + off_mm * (Vector7() << 1, -1, -1, 1, -1, 10, 0.1).finished();
    const std::vector<double> r = spatial_newton(setup, near, {true, true, true, true, true, true, true}).residuals_n;
    for (std::size_t i = 1; i < r.size() && r[i] > noise_n; ++i)
    {
      here.push_back(std::log(r[i - 1]));
      next.push_back(std::log(r[i]));
    }
  }
  return fit_line(here, next).slope;
}

Rows newton_rate()
{
  const JointCase c = stance_case(dog(3), 25, LigamentState::intact, "walk");
  Rows rows;
  for (const auto &[rule, words] :
       {std::pair<BedRule, std::string>{{16, 4}, "bed of the joint"}, {{32, 8}, "bed fourfold finer"}})
  {
    const SpatialSetup setup(c, rule);
    const Vector7 solution = solved(find_spatial_equilibrium(setup, reference_unknowns(setup)));
    rows.push_back(
        law("S31", "order of Newton's method, " + words, newton_order(setup, solution, 1e-7), {2, 0.25, ""},
            "quadratic convergence of Newton with the exact slope; walk 50 %, intact, from 0.002 to 0.05 mm off, residuals "
            "above 1e-7 N"));
  }
  return rows;
}
} // namespace

std::vector<CheckCase> spatial_law_checks()
{
  return {{"S25", frictionless_slope}, {"S26", hanging_tibia}, {"S27", sphere_on_bed}, {"S28", mirror},
          {"S29", turned_world},       {"S30", reciprocity},   {"S31", newton_rate}};
}
} // namespace stifle::checks
