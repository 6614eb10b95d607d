#include "models/joint/spatial_balance.h"
#include "models/joint/user_surfaces.h"
#include "models/joint/layer.h"
#include "models/joint/ligament.h"
#include "models/joint/suture_tension.h"

namespace stifle
{
namespace
{
using Slope3 = Eigen::Matrix<double, 3, 6>;

double moment_y(const Vector3 &arm, const Vector3 &force) { return arm.z() * force.x() - arm.x() * force.z(); }

Matrix3 turn_about_z(double a) { return Eigen::AngleAxisd(a, Vector3::UnitZ()).toRotationMatrix(); }
} // namespace

SpatialSetup::SpatialSetup(const JointCase &c, const BedRule &rule)
    : set(c.set), load(in_tibia_frame(c.load)), anatomy(c.bone.anatomy), cranial_fraction(c.ligament == LigamentState::intact ? 1 : 0)
{
  const JointParts &j = anatomy.joint;
  anatomy.tendon_insertion.y() += c.scenario.joint.tendon_offset_medial_mm;
  plateau.origin_mm = c.bone.plateau_origin;
  plateau.axes << plateau_chord(anatomy), Vector3::UnitY(), plateau_normal(anatomy);
  flexion = femur_rotation(load.stifle_angle_rad);
  groove = {anatomy.trochlea_centre, anatomy.quadriceps_origin, anatomy.trochlea_radius_mm, anatomy.tendon_length_mm,
            j.patella_length_mm};
  const double layer = bonded_modulus_mpa(c.scenario.joint.layer_modulus_mpa) / c.scenario.joint.layer_thickness_mm;
  patella_stiffness = layer * j.patella_contact_area_mm2;
  RigidPose reference; // a torus does not change with flexion
  reference.shift_mm =
      plateau.origin_mm + (j.condyles[medial].sagittal_radius_mm - j.reference_indentation_mm) * plateau.axes.col(2);
  for (int side : {medial, lateral})
  {
    beds.emplace_back(j.condyles[side], j.plateaus[side], plateau, layer, rule);
    rims.emplace_back(j.menisci[side], j.condyles[side], beds.back(), plateau, reference);
  }
  surfaces = user_surface_beds(c.scenario, layer);
  const Levelling &cut = c.bone.levelling;
  segment.turn << cut.turned(Vector3::UnitX()), cut.turned(Vector3::UnitY()), cut.turned(Vector3::UnitZ());
  segment.shift_mm = plateau.origin_mm; // the intercondylar point is the origin of the unoperated frame
  if (surfaces)
    rims = user_rims(c.scenario, layer, j.menisci, segment);
  suture = c.bone.suture;
  set_force_n = load.ground_force.norm();
  moment_held = set == LoadSet::axial;
  rotation_held = set == LoadSet::tendon; // free, the column between two forces along one line runs away
}

SpatialSetup with_load_part(SpatialSetup s, double part)
{
  for (Vector3 *force : {&s.load.ground_force, &s.load.foot_weight, &s.load.crus_weight, &s.hand_force, &s.hand_moment})
    *force *= part;
  for (double *force : {&s.load.hamstrings_n, &s.load.popliteus_n, &s.set_force_n})
    *force *= part;
  return s;
}

SpatialSetup partly_cut(SpatialSetup s, double part)
{
  s.cranial_fraction = 1 - part * (1 - s.cranial_fraction);
  return s;
}

Matrix3 pose_turn(double varus_mm, double rotation_mm, const Matrix3 &flexion)
{
  return turn_about_z(rotation_mm / pose_lever_mm) *
         Eigen::AngleAxisd(varus_mm / pose_lever_mm, Vector3::UnitX()).toRotationMatrix() * flexion;
}

SpatialPose pose_of(const SpatialSetup &s, const Vector7 &y)
{
  SpatialPose p;
  p.femur.turn = pose_turn(y(3), y(4), s.flexion);
  p.femur.shift_mm = s.plateau.origin_mm + s.plateau.axes * y.head<3>();
  p.floating = turn_about_z(y(4) / pose_lever_mm).col(0);
  p.medial_axis = p.femur.turn.col(1);
  const Vector3 &o = p.femur.shift_mm, z = Vector3::UnitZ();
  p.motion.setZero();
  p.motion.topLeftCorner<3, 3>() = s.plateau.axes;
  p.motion.col(3) << o.cross(p.floating) / pose_lever_mm, p.floating / pose_lever_mm;
  p.motion.col(4) << o.cross(z) / pose_lever_mm, z / pose_lever_mm;
  return p;
}

namespace
{
/// Works through the forces once; keeps the parts for the tables.
class Balancing
{
public:
  Balancing(const SpatialSetup &setup, const Vector7 &unknowns) : s_(setup), y_(unknowns) {}

  SpatialBalance all()
  {
    b_.pose = pose_of(s_, y_);
    place_tendon();
    if (!b_.possible)
      return b_;
    load_foot();
    pull_muscles();
    b_.active = sum_.on_tibia.head<3>();
    stretch_bundles();
    pull_suture();
    press_contact();
    sum_.add(s_.plateau.origin_mm, s_.hand_force);
    sum_.on_tibia.tail<3>() += s_.hand_moment;
    assemble();
    return b_;
  }

private:
  Vector3 femur_point(const Vector3 &p) const { return b_.pose.femur.turn * p + b_.pose.femur.shift_mm; }

  void place_tendon()
  {
    using D = DualNumber<4>;
    const Vector3 &a = s_.anatomy.tendon_insertion;
    const Matrix3 &turn = b_.pose.femur.turn;
    const Vector3 local = turn.transpose() * (a - b_.pose.femur.shift_mm);
    const Patella<D> p = stifle::place_patella<D>(s_.groove, D::unknown(local.x(), 0), D::unknown(local.y(), 1),
                                                  D::unknown(local.z(), 2), D::unknown(y_(6), 3));
    b_.possible = p.possible;
    if (!p.possible)
      return;
    b_.patella = femur_point({p.place.x.value, 0, p.place.z.value});
    b_.tendon_direction = (b_.patella - a) / s_.groove.tendon_mm;
    Eigen::Matrix<double, 3, 4> place = Eigen::Matrix<double, 3, 4>::Zero();
    place.row(0) = p.place.x.slope.transpose();
    place.row(2) = p.place.z.slope.transpose();
    const Slope3 by_insertion = -turn.transpose() * motion_of(a); // of the insertion in the femur frame
    patella_motion_ = motion_of(b_.patella) + turn * place.leftCols<3>() * by_insertion;
    patella_by_depth_ = turn * place.col(3);
    const double tendon = y_(5), length = s_.groove.tendon_mm;
    sum_.add(a, tendon * b_.tendon_direction, tendon / length * patella_motion_);
    by_tendon_.head<3>() = b_.tendon_direction;
    by_tendon_.tail<3>() = a.cross(b_.tendon_direction);
    const Vector3 bent = tendon / length * patella_by_depth_;
    by_depth_.head<3>() = bent;
    by_depth_.tail<3>() = a.cross(bent);
    b_.quadriceps_n = tendon * p.quadriceps_per_tendon.value;
    b_.patella_contact_n = tendon * p.contact_per_tendon.value;
    // equation 6 and its derivative with respect to the pose, the tendon force and the depth
    const Eigen::Matrix<double, 1, 3> contact = p.pressing_per_tendon.slope.head<3>().transpose();
    patella_row_ = tendon * contact * by_insertion;
    b_.residual(6) = tendon * p.pressing_per_tendon.value - s_.patella_stiffness * y_(6);
    b_.slope(6, 5) = p.pressing_per_tendon.value;
    b_.slope(6, 6) = tendon * p.pressing_per_tendon.slope(3) - s_.patella_stiffness;
  }

  /// Force of the foot side: ground, weights and gastrocnemius, or the rig of the other sets.
  void load_foot()
  {
    const StanceLoad &l = s_.load;
    sum_.add(l.crus_centre, l.crus_weight);
    if (s_.set == LoadSet::stance)
      return balance_foot();
    const Vector3 &hock = l.hock_centre;
    if (s_.set == LoadSet::press)
      b_.foot_force = sum_.add_cord(hock, femur_point({0, 0, s_.anatomy.femur_length_mm}), {s_.set_force_n, 0});
    else if (s_.set == LoadSet::tendon)
    {
      b_.foot_force = s_.set_force_n * b_.tendon_direction;
      sum_.add(hock, b_.foot_force, s_.set_force_n / s_.groove.tendon_mm * patella_motion_);
      const Vector3 bent = s_.set_force_n / s_.groove.tendon_mm * patella_by_depth_;
      by_depth_.head<3>() += bent;
      by_depth_.tail<3>() += hock.cross(bent);
    }
    else
    {
      b_.foot_force = l.ground_force;
      sum_.add(hock, b_.foot_force);
    }
    b_.hock_on_tibia = b_.foot_force;
  }

  void balance_foot()
  {
    const StanceLoad &l = s_.load;
    sum_.add(l.centre_of_pressure, l.ground_force);
    sum_.add(l.foot_centre, l.foot_weight);
    b_.foot_force = b_.hock_on_tibia = l.ground_force + l.foot_weight;
    const Vector3 &tip = l.calcaneus_tip, arm = tip - l.hock_centre;
    const double needed = moment_y(l.centre_of_pressure - l.hock_centre, l.ground_force) +
                          moment_y(l.foot_centre - l.hock_centre, l.foot_weight);
    Vector3 to_femur = Vector3::Zero();
    Slope3 turned = Slope3::Zero();
    for (int side : {medial, lateral}) // both heads pull alike
    {
      const Vector3 head = femur_point(s_.anatomy.joint.fabella[side]), line = head - tip;
      const Vector3 along = line.normalized();
      const double share = l.gastrocnemius_share / 2;
      to_femur += share * along;
      turned += share / line.norm() * (Matrix3::Identity() - along * along.transpose()) * motion_of(head);
    }
    const Vector3 to_tibia = (1 - l.gastrocnemius_share) * (s_.anatomy.calcanean_origin - tip).normalized();
    const double lever = moment_y(arm, to_femur + to_tibia), force = -needed / lever;
    b_.calcanean_clipped = l.has_muscle && force < 0;
    if (!(force > 0) || !l.has_muscle)
      return;
    b_.calcanean_n = force;
    b_.tibial_share = force * to_tibia;
    const Eigen::Matrix<double, 1, 6> force_slope = -force / lever * (arm.z() * turned.row(0) - arm.x() * turned.row(2));
    sum_.add(tip, force * to_femur, force * turned + to_femur * force_slope);
    b_.hock_on_tibia += force * (to_femur + to_tibia);
  }

  void pull_muscles()
  {
    const Anatomy &a = s_.anatomy;
    if (s_.load.hamstrings_n > 0)
      b_.hamstrings = sum_.add_cord(a.hamstrings_tibia, femur_point(a.hamstrings_origin), {s_.load.hamstrings_n, 0});
    if (s_.load.popliteus_n > 0)
      b_.popliteus = sum_.add_cord(a.joint.popliteus_tibia, femur_point(a.joint.popliteus_femur), {s_.load.popliteus_n, 0});
  }

  void stretch_bundles()
  {
    for (const Bundle &bundle : s_.anatomy.joint.bundles)
    {
      const double part = bundle.group == "cruciate_cranial" ? s_.cranial_fraction : 1;
      const Vector3 femur = femur_point(bundle.femur);
      const Dual tension = cord_tension_n(Dual::unknown((femur - bundle.tibia).norm(), 0), bundle.rest_mm,
                                          part * bundle.stiffness_n_per_mm, bundle.toe_strain);
      b_.bundle_forces.push_back(tension.value > 0 ? sum_.add_cord(bundle.tibia, femur, {tension.value, tension.slope(0)})
                                                   : Vector3(Vector3::Zero()));
    }
  }

  void pull_suture()
  {
    if (!s_.suture)
      return;
    const Vector3 femur = femur_point(s_.suture->femur);
    const Dual tension = suture_tension_n(*s_.suture, Dual::unknown((femur - s_.suture->tibia).norm(), 0));
    if (tension.value > 0)
      b_.suture = sum_.add_cord(s_.suture->tibia, femur, {tension.value, tension.slope(0)});
  }

  void press_contact()
  {
    for (int side : {medial, lateral})
    {
      b_.contact[side] = s_.surfaces ? (*s_.surfaces)[side].wrench(b_.pose.femur, s_.segment) : s_.beds[side].wrench(b_.pose.femur);
      b_.rim[side] = s_.rims[side].wrench(b_.pose.femur);
      sum_.add(b_.contact[side]);
      sum_.add(b_.rim[side]);
    }
  }

  /// Work-conjugate residual and its derivative.
  void assemble()
  {
    const auto &g = b_.pose.motion;
    const Vector3 &o = b_.pose.femur.shift_mm, force = sum_.on_tibia.head<3>();
    const Vector3 moment = sum_.on_tibia.tail<3>() - o.cross(force); // about the femur origin
    const Vector3 z = Vector3::UnitZ(), &floating = b_.pose.floating, &hinge = b_.pose.medial_axis;
    Vector6 about_hinge;
    about_hinge << o.cross(hinge), hinge; // row that gives the moment about the flexion axis
    about_hinge /= pose_lever_mm;
    b_.flexion_moment_nmm = moment.dot(hinge);
    b_.residual.head<5>() = g.transpose() * sum_.on_tibia;
    b_.residual(5) = about_hinge.dot(sum_.on_tibia);
    const Eigen::Matrix<double, 6, 5> moved = sum_.slope * g;
    b_.slope.topLeftCorner<5, 5>() = g.transpose() * moved;
    b_.slope.block<1, 5>(5, 0) = about_hinge.transpose() * moved;
    // the axes and the femur origin move too
    for (int i = 0; i < 3; ++i)
    {
      const Vector3 shifted = -Vector3(s_.plateau.axes.col(i)).cross(force) / pose_lever_mm;
      b_.slope(3, i) += floating.dot(shifted);
      b_.slope(4, i) += z.dot(shifted);
      b_.slope(5, i) += hinge.dot(shifted);
    }
    const double square = pose_lever_mm * pose_lever_mm;
    b_.slope(3, 4) += z.cross(floating).dot(moment) / square;
    b_.slope(5, 3) += floating.cross(hinge).dot(moment) / square;
    b_.slope(5, 4) += z.cross(hinge).dot(moment) / square;
    for (const auto &[column, change] : {std::pair<int, const Vector6 *>{5, &by_tendon_}, {6, &by_depth_}})
    {
      b_.slope.block<5, 1>(0, column) = g.transpose() * *change;
      b_.slope(5, column) = about_hinge.dot(*change);
    }
    b_.slope.block<1, 5>(6, 0) = patella_row_ * g;
  }

  const SpatialSetup &s_;
  const Vector7 &y_;
  SpatialBalance b_;
  WrenchSum sum_;
  Slope3 patella_motion_ = Slope3::Zero();
  Vector3 patella_by_depth_ = Vector3::Zero();
  Vector6 by_tendon_ = Vector6::Zero(), by_depth_ = Vector6::Zero();
  Eigen::Matrix<double, 1, 6> patella_row_ = Eigen::Matrix<double, 1, 6>::Zero();
};
} // namespace

SpatialBalance spatial_balance(const SpatialSetup &setup, const Vector7 &unknowns) { return Balancing(setup, unknowns).all(); }
} // namespace stifle
