// Requirements of the reader of a user's plate. Files: our own parametric plate, written here, and drawings in tests/mesh/step:
//   features    60 x 12 x 4 mm; an edge rounded by 1 mm, a boss of 5 mm at (50, 6), a slot of 4 mm from (25, 6) to (31, 6), a
//   bore
//               of 3.5 mm at (10, 6)
//   inches      a block of 60 x 12 x 4 mm whose numbers are inches; two_solids; rectangle (a face alone)
#include "mesh/construct_cad.h"
#include "mesh/session.h"
#include "mesh/step_plate.h"
#include "models/core/error.h"
#include "tests/support/refusal.h"
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>
#include <sstream>
#include <unistd.h>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
std::string drawing(const std::string &name) { return std::string(STIFLE_SOURCE_DIR) + "/tests/mesh/step/" + name + ".step"; }

StepPlate read(const std::string &file)
{
  const GmshSession session;
  return read_step_plate(file);
}

std::string refusal(const std::string &file) { return test::refused_with<InputError>([&] { read(file); }); }

/// A file of its own for each test, gone afterwards.
class Step : public testing::Test
{
protected:
  Step() : file((std::filesystem::temp_directory_path() / ("stifle_step_" + std::to_string(::getpid()) + ".step")).string()) {}
  ~Step() override { std::filesystem::remove(file); }
  /// The default parametric plate but for an open hole 5; returns its volume.
  double write_own_plate() const
  {
    Scenario s;
    s.screws.holes = {"locking", "locking", "locking", "locking", "none", "locking"};
    const Anatomy a = make_anatomy(s);
    const GmshSession session;
    return write_plate_step(s, a, plan_levelling(s, a, radians(6)), file);
  }
  /// Changes the unit that the file declares; the numbers stay.
  void declare(const std::string &unit) const
  {
    std::stringstream text;
    text << std::ifstream(file).rdbuf();
    std::string t = text.str();
    const std::string millimetre = "SI_UNIT(.MILLI.,.METRE.)";
    ASSERT_NE(t.find(millimetre), std::string::npos);
    for (std::size_t at; (at = t.find(millimetre)) != std::string::npos;)
      t.replace(at, millimetre.size(), unit);
    std::ofstream(file) << t;
  }
  std::string file;
};
} // namespace

// Requirement: the parametric plate comes back as it was written: volume, and each hole at its place with its diameter, across
// the plate. Places: keys of the scenario; diameters: core of a locking screw 2.9, thread of an open hole 3.5 mm. The cylinder
// reaches through 3.3 mm of plate, and on a slope of up to 0.53 its ends are 3.5 x 0.53 longer, 3.3 x 1.13 + 1.9 = 5.6 mm.
TEST_F(Step, OwnPlateComesBackWithItsHoles)
{
  const double volume = write_own_plate();
  const StepPlate plate = read(file);
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
  const StepPlate plate = read(drawing("features"));
  ASSERT_EQ(plate.holes.size(), 1u);
  EXPECT_NEAR((plate.holes[0].middle - Vector3(10, 6, 2)).norm(), 0, 1e-4);
  EXPECT_NEAR(plate.holes[0].diameter_mm, 3.5, 1e-6);
  EXPECT_NEAR(plate.holes[0].length_mm, 4, 1e-4);
  EXPECT_NEAR(plate.holes[0].axis.z(), 1, 1e-9);
}

// Requirement: a plate in another unit is refused, and the unit named: 60 mm are 2.36 inches. Our own plate of 62.5 mm declared
// in metres is 62 500 mm long; declared in micrometres 0.0625 mm, which would be a plate if these were metres.
TEST_F(Step, NamesTheUnitThatItLooksLike)
{
  EXPECT_NE(refusal(drawing("inches")).find("looks like inches"), std::string::npos) << refusal(drawing("inches"));
  write_own_plate();
  declare("SI_UNIT($,.METRE.)");
  EXPECT_NE(refusal(file).find("looks like millimetres declared as metres"), std::string::npos) << refusal(file);
  write_own_plate();
  declare("SI_UNIT(.MICRO.,.METRE.)");
  EXPECT_NE(refusal(file).find("looks like metres"), std::string::npos) << refusal(file);
  EXPECT_EQ(unit_doubt(60), "");
  EXPECT_EQ(unit_doubt(6), "looks like inches or centimetres");
  EXPECT_EQ(unit_doubt(1e9), "no unit makes a plate of it");
}

// Requirement: what is no plate is refused by name.
TEST_F(Step, RefusesWhatIsNotOneSolid)
{
  EXPECT_NE(refusal(file).find("does not exist"), std::string::npos) << refusal(file);
  const std::string two = refusal(drawing("two_solids")), none = refusal(drawing("rectangle"));
  EXPECT_NE(two.find("not one solid"), std::string::npos) << two;
  EXPECT_NE(two.find("2 solids"), std::string::npos) << two;
  EXPECT_NE(none.find("0 solids"), std::string::npos) << none;
  std::ofstream(file) << "solid plate\nendsolid\n";
  EXPECT_NE(refusal(file).find("no STEP file"), std::string::npos) << refusal(file);
  std::ofstream(file) << "ISO-10303-21;\nHEADER;\nrubbish";
  EXPECT_NE(refusal(file).find("plate: "), std::string::npos) << refusal(file);
}
