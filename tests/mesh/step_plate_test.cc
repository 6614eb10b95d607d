// Requirements of the reader of a user's plate. Files are written here: our own parametric plate, and blocks drawn by hand.
#include "mesh/construct_cad.h"
#include "mesh/session.h"
#include "mesh/step_plate.h"
#include "models/core/error.h"
#include <filesystem>
#include <fstream>
#include <functional>
#include <gmsh.h>
#include <gtest/gtest.h>
#include <unistd.h>

using namespace stifle;
using namespace stifle::mesh;
namespace occ = gmsh::model::occ;

namespace
{
class Step : public testing::Test
{
protected:
  Step() { file = (std::filesystem::temp_directory_path() / ("stifle_step_" + std::to_string(::getpid()) + ".step")).string(); }
  ~Step() override { std::filesystem::remove(file); }

  /// Draws in a session of its own and writes what is there.
  void draw(const std::function<void()> &work) const
  {
    const GmshSession session;
    work();
    occ::synchronize();
    gmsh::write(file);
  }
  StepPlate read() const
  {
    const GmshSession session;
    return read_step_plate(file);
  }
  std::string refusal() const
  {
    try
    {
      read();
    }
    catch (const InputError &e)
    {
      return e.what();
    }
    return "not refused";
  }
  std::string file;
};

/// 60 x 12 x 4 mm with a hole of 3.5 mm at (10, 6).
void block(double scale = 1)
{
  const int box = occ::addBox(0, 0, 0, 60 * scale, 12 * scale, 4 * scale);
  const int bore = occ::addCylinder(10 * scale, 6 * scale, -scale, 0, 0, 6 * scale, 1.75 * scale);
  gmsh::vectorpair out;
  std::vector<gmsh::vectorpair> map;
  occ::cut({{3, box}}, {{3, bore}}, out, map);
}
} // namespace

// Requirement: the parametric plate comes back as it was written: volume, and each hole at its place with its diameter, across
// the plate. Places: keys of the scenario; diameters: core of a locking screw 2.9, thread of an open hole 3.5 mm. The cylinder
// reaches through 3.3 mm of plate, and on a slope of up to 0.53 its ends are 3.5 x 0.53 longer, 3.3 x 1.13 + 1.9 = 5.6 mm.
TEST_F(Step, OwnPlateComesBackWithItsHoles)
{
  Scenario s;
  s.screws.holes = {"locking", "locking", "locking", "locking", "none", "locking"};
  const Anatomy a = make_anatomy(s);
  double volume = 0;
  {
    const GmshSession session;
    volume = write_plate_step(s, a, plan_levelling(s, a, radians(6)), file);
  }
  const StepPlate plate = read();
  EXPECT_NEAR(plate.volume_mm3, volume, 1e-4 * volume);
  ASSERT_EQ(plate.holes.size(), 6u);
  const double x[] = {-2, -2, -2, -4, -10, 3}, z[] = {-62, -49, -36, -17, -10, -10}, d[] = {2.9, 3.5, 2.9, 2.9, 2.9, 2.9};
  std::vector<StepHole> holes = plate.holes;
  std::sort(holes.begin(), holes.end(),
            [](const StepHole &p, const StepHole &q) // the two at -10 may come either way
            { return std::pair(std::round(p.middle.z()), p.middle.x()) < std::pair(std::round(q.middle.z()), q.middle.x()); });
  for (int i = 0; i < 6; ++i)
  {
    EXPECT_NEAR(holes[i].middle.x(), x[i], 1e-4);
    EXPECT_NEAR(holes[i].middle.z(), z[i], 1e-4);
    EXPECT_NEAR(holes[i].diameter_mm, d[i], 1e-4);
    EXPECT_NEAR(holes[i].axis.y(), 1, 1e-6);
    EXPECT_GT(holes[i].length_mm, 3.3 - 1e-6);
    EXPECT_LT(holes[i].length_mm, 5.6);
  }
}

// Requirement: only holes are holes. By hand: a bore of 3.5 mm 4 mm long; not a boss, a rounded edge, nor the ends of a slot.
TEST_F(Step, FindsHolesAndNothingElse)
{
  draw(
      []
      {
        gmsh::vectorpair out, rounded;
        std::vector<gmsh::vectorpair> map;
        occ::fillet({occ::addBox(0, 0, 0, 60, 12, 4)}, {1}, {1.0}, rounded);
        occ::fuse({rounded[0]}, {{3, occ::addCylinder(50, 6, 4, 0, 0, 3, 2.5)}}, out, map);
        const gmsh::vectorpair slot = {{3, occ::addCylinder(25, 6, -1, 0, 0, 6, 2)},
                                       {3, occ::addBox(25, 4, -1, 6, 4, 6)},
                                       {3, occ::addCylinder(31, 6, -1, 0, 0, 6, 2)},
                                       {3, occ::addCylinder(10, 6, -1, 0, 0, 6, 1.75)}};
        gmsh::vectorpair rest;
        occ::cut({out[0]}, slot, rest, map);
      });
  const StepPlate plate = read();
  ASSERT_EQ(plate.holes.size(), 1u);
  EXPECT_NEAR((plate.holes[0].middle - Vector3(10, 6, 2)).norm(), 0, 1e-4);
  EXPECT_NEAR(plate.holes[0].diameter_mm, 3.5, 1e-6);
  EXPECT_NEAR(plate.holes[0].length_mm, 4, 1e-4);
  EXPECT_NEAR(plate.holes[0].axis.z(), 1, 1e-9);
}

// Requirement: a plate drawn in another unit is refused, and the unit named: 60 mm are 2.36 inches, 0.06 metres.
TEST_F(Step, NamesTheUnitThatItLooksLike)
{
  draw([] { block(1 / 25.4); });
  EXPECT_NE(refusal().find("looks like inches"), std::string::npos) << refusal();
  draw([] { block(1e-3); });
  EXPECT_NE(refusal().find("looks like metres"), std::string::npos) << refusal();
  EXPECT_EQ(unit_doubt(60), "");
  EXPECT_EQ(unit_doubt(6), "looks like inches or centimetres");
  EXPECT_EQ(unit_doubt(60000), "looks like millimetres declared as metres");
  EXPECT_EQ(unit_doubt(1e9), "no unit makes a plate of it");
}

// Requirement: what is no plate is refused by name.
TEST_F(Step, RefusesWhatIsNotOneSolid)
{
  EXPECT_NE(refusal().find("does not exist"), std::string::npos) << refusal();
  draw([] { block(), occ::addBox(0, 20, 0, 5, 5, 5); });
  EXPECT_NE(refusal().find("not one solid"), std::string::npos) << refusal();
  EXPECT_NE(refusal().find("2 solids"), std::string::npos) << refusal();
  draw([] { occ::addRectangle(0, 0, 0, 60, 12); });
  EXPECT_NE(refusal().find("0 solids"), std::string::npos) << refusal();
  std::ofstream(file) << "solid plate\nendsolid\n";
  EXPECT_NE(refusal().find("no STEP file"), std::string::npos) << refusal();
  std::ofstream(file) << "ISO-10303-21;\nHEADER;\nrubbish";
  EXPECT_NE(refusal().find("plate: "), std::string::npos) << refusal();
}
