// Requirements of a user's bones: surfaces shaped like the parametric joint give the joint of the parametric model.
#include "models/core/error.h"
#include "models/joint/condyle_bed.h"
#include "models/joint/spatial_balance.h"
#include "models/joint/user_surfaces.h"
#include "models/study/uncertain_input.h"
#include "tests/models/joint/support.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <set>
#include <unistd.h>

using namespace stifle;

namespace
{
using Grid = std::vector<std::vector<Vector3>>;

/// Facets of a grid of points; `turn` turns their outward side.
void add_grid(std::ofstream &file, const Grid &g, bool turn)
{
  const auto facet = [&](Vector3 a, Vector3 b, Vector3 c)
  {
    if ((b - a).cross(c - a).norm() < 1e-9)
      return;
    if (turn)
      std::swap(b, c);
    file << "facet normal 0 0 0\nouter loop\n";
    for (const Vector3 &p : {a, b, c})
      file << "vertex " << p.x() << ' ' << p.y() << ' ' << p.z() << '\n';
    file << "endloop\nendfacet\n";
  };
  for (std::size_t i = 0; i + 1 < g.size(); ++i)
    for (std::size_t j = 0; j + 1 < g[i].size(); ++j)
    {
      facet(g[i][j], g[i + 1][j], g[i + 1][j + 1]);
      facet(g[i][j], g[i + 1][j + 1], g[i][j + 1]);
    }
}

/// A condyle as a body of revolution about y: profile of the torus, closed by discs.
Grid condyle(const Condyle &c)
{
  const double major = c.sagittal_radius_mm - c.coronal_radius_mm, most = 0.95 * c.coronal_radius_mm;
  Grid g;
  for (int i = 0; i <= 44; ++i)
  {
    const double y = i == 0 ? -most : i == 44 ? most : most * std::sin((i - 22) / 21.0 * pi / 2);
    const double radius = i == 0 || i == 44 ? 0 : major + std::sqrt(c.coronal_radius_mm * c.coronal_radius_mm - y * y);
    std::vector<Vector3> ring;
    for (int j = 0; j <= 180; ++j)
    {
      const double angle = 2 * pi * (j % 180) / 180;
      ring.push_back(c.centre + Vector3(radius * std::cos(angle), y, radius * std::sin(angle)));
    }
    g.push_back(ring);
  }
  return g;
}

/// Height of both plateaus in the chord frame, run into one another between the compartments.
double height(const JointParts &j, double s, double y)
{
  const auto of = [&](const PlateauSide &p)
  {
    const double v = y - p.offset_mm;
    return -s * s / (2 * p.sagittal_radius_mm) - v * v * p.coronal_curvature_per_mm / 2;
  };
  const double part = std::min(1.0, std::max(0.0, (y + 2.5) / 5));
  return part * of(j.plateaus[medial]) + (1 - part) * of(j.plateaus[lateral]);
}

/// A block whose upper face carries both plateaus: one sheet folded down at its sides, closed below at one point.
Grid tibia(const Anatomy &a, double wide)
{
  Matrix3 axes;
  axes << plateau_chord(a), Vector3::UnitY(), plateau_normal(a);
  const int n = 60, m = 70;
  const double half = a.joint.plateaus[medial].half_length_mm;
  Grid g;
  for (int i = -2; i <= n + 2; ++i)
  {
    std::vector<Vector3> row;
    for (int k = -2; k <= m + 2; ++k)
    {
      const int ii = std::clamp(i, 0, n), kk = std::clamp(k, 0, m);
      const double s = -half + 2 * half * ii / n, y = -wide + 2 * wide * kk / m;
      const bool foot = i == -2 || i == n + 2 || k == -2 || k == m + 2, side = i == -1 || i == n + 1 || k == -1 || k == m + 1;
      row.push_back(axes * (foot ? Vector3(0, 0, -40) : side ? Vector3(s, y, -30) : Vector3(s, y, height(a.joint, s, y))));
    }
    g.push_back(row);
  }
  return g;
}

/// Beds are kept by file name: every set of files gets its own.
int &made()
{
  static int count = 0;
  return count;
}

struct Files
{
  std::filesystem::path folder = std::filesystem::temp_directory_path() / ("stifle_surfaces_" + std::to_string(getpid()) + "_" + std::to_string(++made()));
  Scenario scenario;
  explicit Files(double lift_mm = 0, double half_width_mm = 17, double condyle_factor = 1)
  {
    std::filesystem::create_directories(folder);
    const Anatomy a = make_anatomy(scenario);
    std::ofstream femur(folder / "femur.stl"), bone(folder / "tibia.stl");
    for (std::ofstream *file : {&femur, &bone})
      *file << "solid bone\n" << std::setprecision(9);
    for (int side : {medial, lateral})
    {
      Condyle c = a.joint.condyles[side];
      c.centre.z() -= lift_mm;
      c.sagittal_radius_mm *= condyle_factor;
      c.coronal_radius_mm *= condyle_factor;
      add_grid(femur, condyle(c), false);
    }
    add_grid(bone, tibia(a, half_width_mm), false);
    femur << "endsolid bone\n";
    bone << "endsolid bone\n";
    scenario.tibia.surface = (folder / "tibia.stl").string();
    scenario.joint.femur_surface = (folder / "femur.stl").string();
  }
  ~Files() { std::filesystem::remove_all(folder); }
};
} // namespace

// Requirement: the same shape given as triangles carries the same joint: thrust, ligaments, contact and pose, unoperated and
// levelled (facets of 0.5 mm are 2 um below the surface at most; distance grid of 0.5 mm: a few percent of the pressure).
TEST(UserSurfaces, GiveTheJointOfTheirShape)
{
  const Files files;
  for (const double slope : {25.0, 6.0})
    for (const LigamentState state : {LigamentState::intact, LigamentState::torn})
    {
      const JointState own = test::solve(files.scenario, slope, state, LoadSet::stance);
      const JointState parametric = test::solve(Scenario(), slope, state, LoadSet::stance);
      ASSERT_TRUE(own.converged && parametric.converged) << slope << own.reason;
      EXPECT_NEAR(own.thrust_n, parametric.thrust_n, 0.005 * parametric.normal_n) << slope;
      EXPECT_NEAR(own.joint_force_n, parametric.joint_force_n, 0.01 * parametric.joint_force_n);
      EXPECT_NEAR(own.contact_medial_n, parametric.contact_medial_n, 0.03 * parametric.contact_medial_n);
      EXPECT_NEAR(own.translation_cranial_mm, parametric.translation_cranial_mm, 0.1);
      EXPECT_NEAR(own.peak_pressure_mpa, parametric.peak_pressure_mpa, 0.05 * parametric.peak_pressure_mpa);
    }
}

namespace
{
/// Menisci of the default dog on the bones of the files, unoperated or levelled, and the parametric ones.
struct Rims
{
  std::vector<MeniscusRim> own, parametric;
  RigidPose femur;
};
Rims rims_of(const Scenario &with_bones, double slope_deg)
{
  const JointCase c = test::stance_case(with_bones, slope_deg, LigamentState::intact);
  JointCase plain = c;
  plain.scenario.tibia.surface.reset();
  plain.scenario.joint.femur_surface.reset();
  const SpatialSetup own(c), parametric(plain);
  Vector7 pressed = Vector7::Zero(); // 0.5 mm deep, 3 mm caudal, turned a little
  pressed << -3, 0.2, 13 - 0.5 - 3 * 3 / 52.0, 0.3, -0.6, 0, 0;
  return {own.rims, parametric.rims, pose_of(own, pressed).femur};
}
} // namespace

// Requirement: menisci on bones of the parametric shape are the parametric menisci: force, slide and centre at a pressed pose,
// unoperated and levelled (facets 2 um off the surface, 0.5 mm deep: 2 %).
TEST(UserSurfaces, CarryTheMenisciOfTheirShape)
{
  const Files files;
  for (const double slope : {25.0, 6.0})
  {
    const Rims r = rims_of(files.scenario, slope);
    for (int side : {medial, lateral})
    {
      const BedWrench own = r.own[side].wrench(r.femur), expected = r.parametric[side].wrench(r.femur);
      ASSERT_GT(expected.load_n, 20);
      EXPECT_EQ(r.own[side].n_cells(), r.parametric[side].n_cells());
      EXPECT_NEAR((own.on_tibia - expected.on_tibia).head<3>().norm(), 0, 0.02 * expected.load_n) << slope << side;
      EXPECT_NEAR((own.centre_mm - expected.centre_mm).norm(), 0, 0.2) << slope << side;
      EXPECT_NEAR(r.own[side].slide_mm(r.femur), r.parametric[side].slide_mm(r.femur), 0.1) << slope << side;
    }
  }
}

// Requirement: the menisci are those of the user's bones, not of the parametric ones: with condyles a tenth larger every cell
// just touches the larger condyle in the pose of reference (law of meniscus_rim.h), and lies where the other one does not reach.
TEST(UserSurfaces, CarryMenisciOfTheirOwn)
{
  const Files files(0, 17, 1.1);
  Scenario lifted = files.scenario; // a condyle of 14.3 mm held at the height of one of 13: 1.3 mm deep, less than the layer
  lifted.joint.layer_thickness_mm = 3;
  const Anatomy a = make_anatomy(lifted);
  RigidPose start;
  start.turn = femur_rotation(a.joint.reference_stifle_rad);
  start.shift_mm = (13 - a.joint.reference_indentation_mm) * plateau_normal(a);
  const auto rims = user_rims(lifted, 4, a.joint.menisci, {});
  for (int side : {medial, lateral})
  {
    Condyle larger = a.joint.condyles[side];
    larger.sagittal_radius_mm *= 1.1;
    larger.coronal_radius_mm *= 1.1;
    unsigned free = 0;
    for (const MeniscusRim::Cell &cell : rims[side].cells())
    {
      const double depth = condyle_distance(larger, start, cell.point_mm).depth_mm;
      EXPECT_GT(depth, -0.01) << side; // touched, or the bone itself is deeper
      EXPECT_LT(condyle_distance(a.joint.condyles[side], start, cell.point_mm).depth_mm, depth - 0.5) << side;
      free += std::abs(depth) < 0.01;
    }
    EXPECT_GT(free, 6u) << side;
  }
}

// Requirement: the slope of a rim on the user's bones is the derivative of its wrench, slide included, in a levelled joint too:
// central differences.
TEST(UserSurfaces, MeniscusSlopeAgreesWithDifferences)
{
  const Files files;
  for (const double slope : {25.0, 6.0})
  {
    const Rims r = rims_of(files.scenario, slope);
    for (const MeniscusRim &rim : r.own)
    {
      Matrix6 differences;
      for (int j = 0; j < 6; ++j)
      {
        const double h = j < 3 ? 1e-6 : 1e-7;
        const auto moved = [&](double size)
        {
          const Vector6 motion = size * Vector6::Unit(j);
          const Matrix3 turn = Eigen::AngleAxisd(motion.tail<3>().sum(), Vector3::Unit(j % 3)).toRotationMatrix();
          return rim.wrench({turn * r.femur.turn, turn * r.femur.shift_mm + motion.head<3>()}).on_tibia;
        };
        differences.col(j) = (moved(h) - moved(-h)) / (2 * h);
      }
      const Matrix6 here = rim.wrench(r.femur).slope;
      EXPECT_LT((differences - here).norm(), 1e-5 * (1 + here.norm())) << slope;
    }
  }
}

// Requirement: bones too narrow for a meniscus are refused in words that say what to do; without menisci they are taken.
TEST(UserSurfaces, TooNarrowForTheMenisciAreRefused)
{
  const Files files(0, 13);
  try
  {
    check_user_surfaces(files.scenario);
    FAIL() << "not refused";
  }
  catch (const InputError &error)
  {
    const std::string text = error.what();
    EXPECT_NE(text.find("the lateral meniscus does not fit"), std::string::npos) << text;
    EXPECT_NE(text.find("joint.meniscus_medial: removed"), std::string::npos) << text;
  }
  Scenario without = files.scenario;
  without.joint.meniscus_medial = without.joint.meniscus_lateral = "removed";
  EXPECT_NO_THROW(check_user_surfaces(without));
}

// Requirement: of a dog with bones of its own everything is drawn but the bones: their slope and their cartilage stay, muscles and
// ligaments change, and every drawn dog finds its pose.
TEST(UserSurfaces, AreHeldWhileTheRestIsDrawn)
{
  const Files files;
  const auto inputs = uncertain_inputs(files.scenario);
  EXPECT_EQ(inputs.size() + 4, uncertain_inputs(Scenario()).size());
  std::set<double> thrusts;
  for (const double u : {0.1, 0.4, 0.6, 0.9})
  {
    SampledDog dog{files.scenario, {}, default_activities(), 0, 0, {}};
    for (std::size_t i = 0; i < inputs.size(); ++i) // every second input from its other end
      inputs[i].apply(dog, inputs[i].distribution.quantile(i % 2 ? u : 1 - u));
    EXPECT_EQ(dog.scenario.tibia.plateau_angle_deg, files.scenario.tibia.plateau_angle_deg);
    EXPECT_EQ(dog.scenario.joint.layer_modulus_mpa, files.scenario.joint.layer_modulus_mpa);
    const Anatomy a = make_anatomy(dog.scenario, dog.variation);
    const OperatedAnatomy bone = operate(a, no_levelling(a));
    const JointState state = solve_instant(dog.scenario, bone, LigamentState::torn, LoadSet::stance,
                                           find_activity(dog.activities, "walk"), 50);
    EXPECT_TRUE(state.converged) << u << state.reason;
    thrusts.insert(state.thrust_n);
  }
  EXPECT_EQ(thrusts.size(), 4u);
}

// Requirement: bones that start deeper in one another than their cartilage, or farther apart, are refused by name.
TEST(UserSurfaces, OutOfPlaceAreRefused)
{
  for (const auto &[lift, word] : {std::pair(3.0, "interpenetrate on the lateral side"), std::pair(-3.5, "stand apart on the medial side")})
  {
    const Files files(lift);
    try
    {
      check_user_surfaces(files.scenario);
      FAIL() << "not refused: " << word;
    }
    catch (const InputError &error)
    {
      EXPECT_NE(std::string(error.what()).find(word), std::string::npos) << error.what();
    }
  }
}
