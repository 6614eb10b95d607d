// Requirements of the holes of the plate and of what they hold; no mesh. Expected places and lengths by hand.
#include "mesh/bone_shape.h"
#include "mesh/construct.h"
#include "mesh/implant_fit.h"
#include "mesh/session.h"
#include "models/core/error.h"
#include "tests/support/refusal.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
/// The skin is sampled once: it does not depend on plate or screws.
const Skin &skin_of_the_default_dog()
{
  static const Skin skin = []
  {
    const GmshSession session;
    return sample_skin(loft(bone_sections(make_anatomy(Scenario()))));
  }();
  return skin;
}

ImplantFit fit(const Scenario &s)
{
  const Anatomy a = make_anatomy(s);
  return fit_implants(s, a, plan_levelling(s, a, radians(6)), skin_of_the_default_dog());
}

std::string refusal(const Scenario &s) { return test::refused_with<Error>([&] { fit(s); }); }

double inner_radius(const ScrewFit &k) { return 0.5 * k.core_mm; }
} // namespace

// Requirement: one word for all, one word per hole and the row of the size table say the same (2.9 and 3.5 mm, sheet section 7).
TEST(HolePlan, OneWordStandsForAllHoles)
{
  Scenario one, each;
  each.screws.holes.assign(6, "locking");
  each.screws.sizes.assign(6, "locking_3.5");
  each.screws.cortices.assign(6, "both");
  each.screws.distal_x_mm.assign(3, -2);
  const auto a = plan_holes(one), b = plan_holes(each);
  ASSERT_EQ(a.size(), 6u);
  for (std::size_t i = 0; i < 6; ++i)
  {
    EXPECT_EQ(a[i].name, "screw_" + std::to_string(i + 1));
    EXPECT_EQ(std::tie(a[i].name, a[i].x, a[i].z, a[i].kind, a[i].core_mm, a[i].major_mm, a[i].both_cortices),
              std::tie(b[i].name, b[i].x, b[i].z, b[i].kind, b[i].core_mm, b[i].major_mm, b[i].both_cortices));
  }
}

// Requirement: words follow the order of the lists, names the order down the plate; an empty hole keeps its number.
TEST(HolePlan, WordsFollowTheListsAndNumbersThePlate)
{
  Scenario s;
  s.screws.proximal_x_mm = {-4, -10, 3};
  s.screws.proximal_z_mm = {-17, -10, -10};
  s.screws.distal_z_mm = {-49, -36};
  s.screws.holes = {"plain", "none", "locking", "none", "locking"};
  s.screws.sizes = {"cortex_4.5", "own", "locking_2.7", "own", "locking_2.0"};
  const auto h = plan_holes(s);
  ASSERT_EQ(h.size(), 5u);
  const char *names[] = {"hole_1", "screw_2", "screw_3", "screw_4", "hole_5"};
  const double cores[] = {2.9, 2.1, 3.0, 1.5, 2.9}, heights[] = {-10, -10, -17, -36, -49};
  for (int i = 0; i < 5; ++i)
  {
    EXPECT_EQ(h[i].name, names[i]);
    EXPECT_EQ(h[i].core_mm, cores[i]) << h[i].name; // sheet section 7
    EXPECT_EQ(h[i].z, heights[i]) << h[i].name;
  }
  EXPECT_EQ(h[2].kind, HoleKind::plain);
  EXPECT_EQ(h[0].kind, HoleKind::open);
}

// Requirement: the plate turns about its centre line at the mean height, -184/6 mm; by hand for -10 deg: the lowest hole, 31.333
// mm below, goes to x = -2 + 31.333 sin 10 = 3.441, z = -30.667 - 31.333 cos 10 = -61.524; distances between holes stay.
TEST(HolePlan, InclinationTurnsPlateAndHoles)
{
  Scenario s;
  s.plate.inclination_deg = -10;
  const ImplantFit turned = fit(s), straight = fit(Scenario());
  EXPECT_NEAR(turned.screws[5].x, 3.441, 1e-3);
  EXPECT_NEAR(turned.screws[5].z, -61.524, 1e-3);
  for (std::size_t i = 0; i < 6; ++i)
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_NEAR(std::hypot(turned.screws[i].x - turned.screws[j].x, turned.screws[i].z - turned.screws[j].z),
                  std::hypot(straight.screws[i].x - straight.screws[j].x, straight.screws[i].z - straight.screws[j].z), 1e-12);
  s.plate.inclination_deg = 10;
  EXPECT_NEAR(plate_turn(s)(-2, -62)[0], -7.441, 1e-3); // above 0 the distal end goes caudal
}

// Requirement: the bench of S15 (sheet section 4; J28 = C24) can be built: 2.7 plate, dog of 25 kg, at 0 deg and at 20 deg.
// Places of the holes: assumption. 20 deg turns the proximal end caudal, the distal end cranial, where this bone has its crest.
TEST(HolePlan, ThePlateOfTheInclinationBenchFits)
{
  for (const double inclination_deg : {0.0, -20.0})
  {
    Scenario s;
    s.dog.mass_kg = 25;
    s.tibia.length_mm = scaled_tibia_length_mm(25);
    s.plate.width_mm = 8, s.plate.thickness_mm = 2.6, s.plate.head_width_mm = 19, s.plate.craniocaudal_mm = 0;
    s.plate.inclination_deg = inclination_deg;
    s.screws.sizes = {"locking_2.7"};
    s.screws.proximal_x_mm = {-4.5, 4.5, 0}, s.screws.proximal_z_mm = {-9, -9, -15}, s.screws.distal_z_mm = {-33, -42, -51};
    EXPECT_NO_THROW(check_construct(s, make_anatomy(s), plan_levelling(s, make_anatomy(s), radians(6)))) << inclination_deg;
  }
}

// Requirement: widths stand at even distances from the proximal end; by hand: 4.5 mm above -10 to 6 mm below -62, 62.5 mm.
TEST(HolePlan, WidthsDrawTheOutline)
{
  Scenario s;
  s.plate.widths_mm = {24, 24, 12, 11, 11, 10};
  const auto o = fit(s).plate.outline;
  ASSERT_EQ(o.size(), 12u);
  for (std::size_t i = 0; i < 6; ++i)
  {
    EXPECT_NEAR(o[5 - i][0], -2 + 0.5 * s.plate.widths_mm[i], 1e-12);
    EXPECT_NEAR(o[6 + i][0], -2 - 0.5 * s.plate.widths_mm[i], 1e-12);
    EXPECT_NEAR(o[5 - i][1], -5.5 - 12.5 * i, 1e-12);
    EXPECT_EQ(o[6 + i][1], o[5 - i][1]);
  }
  s.plate.length_mm = 70;
  EXPECT_NEAR(fit(s).plate.outline[0][1], -75.5, 1e-12);
}

// Requirement: by default a screw passes the far skin by 1 mm at its thread, so by 1 mm or more at its axis; in one cortex it
// ends half way; a length is measured from the outer face: 3.3 mm times the slope of the plate (up to 1.13) above the inner one.
TEST(HolePlan, ScrewsEndWhereTheyShould)
{
  Scenario s;
  s.screws.cortices = {"both", "both", "both", "both", "one", "both"};
  for (const ScrewFit &k : fit(s).screws)
    if (k.name == "screw_5")
      EXPECT_NEAR(k.tip_y, 0.5 * (k.entry_y + k.exit_y), 1e-12);
    else
      EXPECT_LE(k.tip_y, k.exit_y - 1);
  const ImplantFit plain = fit(Scenario());
  s = Scenario();
  for (const ScrewFit &k : plain.screws)
    s.screws.lengths_mm.push_back(k.plate_y + 3.3 - k.exit_y + 2);
  const ImplantFit given = fit(s);
  for (std::size_t i = 0; i < 6; ++i)
  {
    EXPECT_GE(given.screws[i].tip_y, plain.screws[i].exit_y - 2 - 1e-9);
    EXPECT_LE(given.screws[i].tip_y, plain.screws[i].exit_y - 2 + 3.3 * 0.13);
  }
}

// Requirement: the thread of every size goes through its own hole: locking in a hole of its core (tied), plain in a wider one.
TEST(HolePlan, HolesAreAsWideAsTheirScrewsNeed)
{
  Scenario s;
  s.screws.holes = {"locking", "locking", "locking", "plain", "none", "locking"};
  s.screws.sizes = {"locking_2.0", "locking_2.4", "locking_2.7", "cortex_3.5", "own", "locking_3.5"};
  const ImplantFit f = fit(s);
  ASSERT_EQ(f.screws.size(), 5u);
  ASSERT_EQ(f.open_holes.size(), 1u);
  EXPECT_EQ(f.screws[0].hole_mm(), 2 * inner_radius(f.screws[0]));
  EXPECT_GT(f.screws[3].hole_mm(), 3.5);
  EXPECT_NEAR(f.screws[3].head_mm(), 6.0, 1e-12); // sheet section 7, memory
  EXPECT_EQ(f.open_holes[0].hole_mm(), 3.5);
}

// Requirement: what cannot be is refused by name with numbers.
TEST(HolePlan, RefusesAHoleBesideThePlate)
{
  Scenario s;
  s.plate.length_mm = 50; // from -5.5 to -55.5, the last hole at -62
  EXPECT_NE(refusal(s).find("screw_6: leaves the plate"), std::string::npos) << refusal(s);
  s = Scenario();
  s.screws.distal_x_mm = {-2, 4, -2}; // 6 mm from the centre line, the plate ends at 5.5 mm
  s.screws.holes = {"locking", "locking", "locking", "locking", "none", "locking"};
  EXPECT_NE(refusal(s).find("hole_5: leaves the plate"), std::string::npos) << refusal(s);
}

// Requirement: a head too narrow for plain screws is refused with the width that will do. By hand: screw 1 at (-10, -10), middle of
// the head x = -3.5, its cut corner the line z = x + 4, which passes 4/sqrt(2) mm from the axis; the head of the screw takes 3 mm and 1 mm
// is to stay. Every mm of width moves the line by half a mm, 0.354 mm along its normal: (4 - 2.828) / 0.354 = 3.31 mm to add to 24.
TEST(HolePlan, NamesTheWidthThatPlainHeadsNeed)
{
  Scenario s;
  s.screws.holes = {"plain", "plain", "plain", "locking", "locking", "locking"};
  EXPECT_NE(refusal(s).find("screw_1: leaves the plate: -0.17 mm from head to edge"), std::string::npos) << refusal(s);
  EXPECT_NE(refusal(s).find("plate.head_width_mm of about 27.4 (now 24)"), std::string::npos) << refusal(s);
  s.plate.head_width_mm = 27.3;
  EXPECT_NE(refusal(s).find("leaves the plate"), std::string::npos);
  s.plate.head_width_mm = 27.4;
  EXPECT_EQ(refusal(s), "not refused");
}

// Requirement: the proximal edge makes room for a head wider than the usual 6 mm.
TEST(HolePlan, HasRoomForWideHeadsUnderTheProximalEdge)
{
  Scenario s;
  s.plate.head_width_mm = 34;
  s.screws.proximal_x_mm = {-12, 4, -4}, s.screws.proximal_z_mm = {-10, -10, -18};
  s.screws.sizes = {"cortex_4.5", "own", "own", "own", "own", "own"};
  s.screws.holes = {"plain", "locking", "locking", "locking", "locking", "locking"};
  EXPECT_EQ(refusal(s), "not refused");
}

TEST(HolePlan, RefusesAPlateShorterThanItsHead)
{
  Scenario s;
  s.plate.length_mm = 20; // head and taper alone: from -5.5 to -29
  EXPECT_NE(refusal(s).find("plate: 20.0 mm long (plate.length_mm), its head ends 23.5 mm"), std::string::npos) << refusal(s);
}
TEST(HolePlan, RefusesScrewsThatMeet)
{
  Scenario s;
  s.screws.sizes = {"own", "own", "own", "own", "cortex_4.5", "cortex_4.5"};
  s.screws.distal_z_mm = {-36, -49, -54}; // 5 mm between axes, 4.5 mm thread
  EXPECT_NE(refusal(s).find("screw_5: passes screw_6: 0.50 mm"), std::string::npos) << refusal(s);
}
TEST(HolePlan, RefusesAScrewLongerThanTheBone)
{
  Scenario s;
  s.screws.lengths_mm = {60}; // the bone is at most 44 mm wide
  EXPECT_NE(refusal(s).find("screw_1: longer than the bone: 60.0 mm"), std::string::npos) << refusal(s);
}
TEST(HolePlan, RefusesAScrewThatMissesACortex)
{
  Scenario s;
  s.screws.lengths_mm = {10};
  EXPECT_NE(refusal(s).find("screw_1: shorter than the bone: 10.0 mm"), std::string::npos) << refusal(s);
  s.screws.cortices = {"one"};
  s.screws.lengths_mm = {4}; // plate 3.3 mm and stand-off 0.8 mm: nothing is in the bone
  EXPECT_NE(refusal(s).find("hardly in the bone"), std::string::npos) << refusal(s);
  s.screws.lengths_mm.clear();
  for (const ScrewFit &k : fit(Scenario()).screws)
    s.screws.lengths_mm.push_back(k.plate_y + 3.3 - k.exit_y); // up to the far skin, less the slope of the plate (0.43 mm)
  EXPECT_NE(refusal(s).find("screw_1: passes both cortices though screws.cortices is one"), std::string::npos) << refusal(s);
}
TEST(HolePlan, RefusesATurnedPlateOffTheBone)
{
  Scenario s;
  s.plate.inclination_deg = 30; // the distal end goes 16 mm caudal, the shaft is 17 mm thick
  const std::string text = refusal(s);
  EXPECT_TRUE(text.find("misses the bone") != std::string::npos || text.find("leaves the bone") != std::string::npos) << text;
}
