// Requirements of the field files: values survive, a left limb is a true mirror image, K u = f holds from the file alone.
#include "viz/vtu.h"
#include "models/core/error.h"
#include "tests/support/plain_stiffness.h"
#include "tests/support/tension_bar.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <limits>
#include <sstream>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkCellData.h>
#include <vtkDataArray.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLUnstructuredGridReader.h>

using namespace stifle;
using namespace stifle::viz;

namespace
{
std::string place(const std::string &name) { return (std::filesystem::temp_directory_path() / ("stifle_viz_" + name)).string(); }

/// A bar whose numbers are all different, so that an exchanged component cannot hide.
FieldData uneven_bar()
{
  FieldData field = tension_bar();
  for (std::size_t i = 0; i < field.points_mm.size(); ++i)
  {
    const double t = 1 + 1e-3 * double(i);
    field.displacement_mm[i] = Vector3(0.1, 0.2, 0.3) * t;
    field.force_n[i] = Vector3(-1, 2, -3) / t;
    field.stress_mpa[i] = {{1 * t, 2 * t, 3 * t, 4 * t, 5 * t, 6 * t}};
    field.von_mises_mpa[i] = 7 * t;
  }
  return field;
}

template <class Rows> double largest_difference(const Rows &a, const Rows &b)
{
  EXPECT_EQ(a.size(), b.size());
  double worst = 0;
  for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
    for (std::size_t c = 0; c < std::size_t(a[i].size()); ++c)
      worst = std::max(worst, std::abs(a[i][c] - b[i][c]));
  return worst;
}
} // namespace

// Requirement: threads are those of --threads. VTK's filters would start one a processor, for good.
TEST(Vtu, StartsNoThread)
{
  const auto threads = [] { return std::distance(std::filesystem::directory_iterator("/proc/self/task"), {}); };
  const auto before  = threads();
  write_vtu(place("threads.vtu"), uneven_bar());
  read_vtu(place("threads.vtu"));
  EXPECT_EQ(threads(), before);
}

// Requirement: what was written is read back.
TEST(Vtu, KeepsEveryValue)
{
  const FieldData wrote = uneven_bar();
  write_vtu(place("round.vtu"), wrote);
  bool mirrored = true;
  const FieldData read = read_vtu(place("round.vtu"), &mirrored);
  EXPECT_FALSE(mirrored);
  EXPECT_LT(largest_difference(read.points_mm, wrote.points_mm), 1e-12);
  EXPECT_LT(largest_difference(read.displacement_mm, wrote.displacement_mm), 1e-12);
  EXPECT_LT(largest_difference(read.force_n, wrote.force_n), 1e-12);
  EXPECT_LT(largest_difference(read.stress_mpa, wrote.stress_mpa), 1e-12);
  EXPECT_EQ(read.von_mises_mpa, wrote.von_mises_mpa);
  EXPECT_EQ(read.cells, wrote.cells);
  EXPECT_EQ(read.part, wrote.part);
  EXPECT_EQ(read.node, wrote.node);
  EXPECT_EQ(read.part_names, wrote.part_names);
  EXPECT_EQ(read.modulus_mpa, wrote.modulus_mpa);
  EXPECT_EQ(read.poisson_ratio, wrote.poisson_ratio);
}

// Requirement: array names, sizes and types are those of the contract (design.md "Results in DIR"), seen by plain VTK.
TEST(Vtu, CarriesTheArraysOfTheContract)
{
  write_vtu(place("contract.vtu"), uneven_bar());
  vtkNew<vtkXMLUnstructuredGridReader> reader;
  reader->SetFileName(place("contract.vtu").c_str());
  reader->Update();
  auto &points = *reader->GetOutput()->GetPointData();
  auto &cells = *reader->GetOutput()->GetCellData();
  const std::pair<const char *, int> point_arrays[] = {
      {"displacement_mm", 3}, {"force_n", 3}, {"von_mises_mpa", 1}, {"stress_mpa", 6}, {"node", 1}};
  for (const auto &[name, components] : point_arrays)
  {
    ASSERT_NE(points.GetArray(name), nullptr) << name;
    EXPECT_EQ(points.GetArray(name)->GetNumberOfComponents(), components) << name;
  }
  for (const char *name : {"part", "modulus_mpa", "poisson_ratio"})
    EXPECT_NE(cells.GetArray(name), nullptr) << name;
  EXPECT_STREQ(points.GetArray("stress_mpa")->GetComponentName(3), "XY"); // VTK: XX YY ZZ XY YZ XZ
  EXPECT_STREQ(points.GetArray("stress_mpa")->GetComponentName(5), "XZ");
  EXPECT_EQ(points.GetArray("node")->GetElementComponentSize(), 8);
  EXPECT_EQ(reader->GetOutput()->GetCellType(0), 24);
}

// Requirement: K u = f at every node, from the file alone. Forces and displacement by hand: tests/support/tension_bar.h.
TEST(Vtu, BalancesFromTheFileAlone)
{
  write_vtu(place("tension.vtu"), tension_bar());
  FieldData read = read_vtu(place("tension.vtu"));
  EXPECT_LT(worst_unbalanced(read), 1e-10);
  // The check can fail: 1 % of one end force, or two copies of a node 1 nm apart.
  FieldData wrong = read;
  for (Vector3 &f : wrong.force_n)
    f *= 1.01;
  EXPECT_NEAR(worst_unbalanced(wrong), 0.01 / 1.01, 1e-6);
  wrong = read;
  wrong.displacement_mm[0].z() += 1e-6;
  EXPECT_GT(worst_unbalanced(wrong), 1e-4);
}

// Requirement: the whole end force is stress times section: 100 MPa * 3 mm * 2 mm = 600 N.
TEST(Vtu, HoldsTheWholeEndForce)
{
  write_vtu(place("ends.vtu"), tension_bar());
  double pull = 0;
  for (const Vector3 &f : read_vtu(place("ends.vtu")).force_n)
    pull += std::max(f.z(), 0.0);
  EXPECT_NEAR(pull, 600.0, 1e-9);
}

// Requirement: a left limb is the mirror image in y, with sound cells: reflection R = diag(1,-1,1), v' = R v, S' = R S R.
TEST(Vtu, MirrorsALeftLimb)
{
  const FieldData right = uneven_bar();
  write_vtu(place("left.vtu"), right, true);
  bool mirrored = false;
  const FieldData left = read_vtu(place("left.vtu"), &mirrored);
  EXPECT_TRUE(mirrored);
  for (std::size_t i : {std::size_t(0), std::size_t(7), right.points_mm.size() - 1})
  {
    EXPECT_EQ(left.points_mm[i], Vector3(right.points_mm[i].x(), -right.points_mm[i].y(), right.points_mm[i].z()));
    EXPECT_EQ(left.displacement_mm[i].y(), -right.displacement_mm[i].y());
    EXPECT_EQ(left.force_n[i].y(), -right.force_n[i].y());
    const auto &s = right.stress_mpa[i];
    EXPECT_EQ(left.stress_mpa[i], (std::array<double, 6>{{s[0], s[1], s[2], -s[3], -s[4], s[5]}}));
    EXPECT_EQ(left.von_mises_mpa[i], right.von_mises_mpa[i]);
  }
  EXPECT_NEAR(smallest_volume_mm3(left), smallest_volume_mm3(right), 1e-12);
  EXPECT_GT(smallest_volume_mm3(left), 0);
}

// Requirement: a mirrored limb is in balance too; a wrong order of mid-edge nodes would break it.
TEST(Vtu, MirroredLimbStaysInBalance)
{
  write_vtu(place("left_tension.vtu"), tension_bar(), true);
  EXPECT_LT(worst_unbalanced(read_vtu(place("left_tension.vtu"))), 1e-10);
}

// Requirement: NaN and infinity never leave the program, and nothing is left behind.
TEST(Vtu, RefusesNumbersThatAreNotFinite)
{
  FieldData field = tension_bar();
  field.stress_mpa[3][2] = std::numeric_limits<double>::quiet_NaN();
  std::filesystem::remove(place("nan.vtu"));
  EXPECT_THROW(write_vtu(place("nan.vtu"), field), Error);
  EXPECT_FALSE(std::filesystem::exists(place("nan.vtu")));
}

TEST(Vtu, RefusesArraysThatDoNotFit)
{
  FieldData field = tension_bar();
  field.node.pop_back();
  EXPECT_THROW(write_vtu(place("short.vtu"), field), Error);
}

// Requirement: no half-written file keeps the final name, and no helper file stays.
TEST(Vtu, LeavesNoPartFile)
{
  write_vtu(place("whole.vtu"), tension_bar());
  EXPECT_FALSE(std::filesystem::exists(place("whole.vtu.part")));
  EXPECT_THROW(write_vtu("/proc/no_such_folder/x.vtu", tension_bar()), Error);
}

TEST(Vtu, RefusesAFileThatIsNone)
{
  std::ofstream(place("noise.vtu")) << "not a field file";
  EXPECT_THROW(read_vtu(place("noise.vtu")), Error);
  EXPECT_THROW(read_vtu(place("missing.vtu")), Error);
}
