// Requirements of a user's bones: surfaces shaped like the parametric joint give the joint of the parametric model.
#include "models/core/error.h"
#include "models/joint/condyle_bed.h"
#include "models/joint/user_surfaces.h"
#include "tests/models/joint/support.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
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
Grid tibia(const Anatomy &a)
{
  Matrix3 axes;
  axes << plateau_chord(a), Vector3::UnitY(), plateau_normal(a);
  const int n = 60, m = 70;
  const double half = a.joint.plateaus[medial].half_length_mm, wide = 17;
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

struct Files
{
  std::filesystem::path folder = std::filesystem::temp_directory_path() / ("stifle_surfaces_" + std::to_string(getpid()));
  Scenario scenario;
  explicit Files(double lift_mm = 0)
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
      add_grid(femur, condyle(c), false);
    }
    add_grid(bone, tibia(a), false);
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

// Requirement: bones that start deeper in one another than their cartilage are refused by name.
TEST(UserSurfaces, ThatInterpenetrateAreRefused)
{
  const Files files(3);
  try
  {
    check_user_surfaces(files.scenario);
    FAIL() << "not refused";
  }
  catch (const InputError &error)
  {
    EXPECT_NE(std::string(error.what()).find("interpenetrate"), std::string::npos) << error.what();
  }
}
