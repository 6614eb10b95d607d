// Requirements of the pictures of healing and margins, on tables made by hand (numbers invented, columns of the contract).
#include "tests/support/toy_construct.h"
#include "tests/viz/picture_fixture.h"
#include "viz/colour.h"
#include "viz/picture.h"
#include "viz/vtu.h"
#include <fmt/format.h>

using namespace stifle::viz;

namespace
{
const char *const margin_columns = "plateau_angle_deg,week,activity,stance_percent,part,mode,demand,capacity,unit,margin,low,high,"
                                   "verdict,x_mm,y_mm,z_mm,source,plateau_angle_target_deg\n";

class HealingPictures : public PictureFixture
{
protected:
  HealingPictures() : PictureFixture("stifle_viz_healing") {}

  /// Yield of plate and screws and push-out of screw 3, weeks 0 to 8; `factor` on the margins of the plate.
  void margins_csv(double factor, bool bands) const
  {
    std::ofstream out = file("margins.csv");
    out << margin_columns;
    for (const int week : {0, 4, 8})
      for (const char *activity : {"walk", "trot"})
      {
        const double ease = (activity[0] == 'w' ? 2 : 1) * (1 + week);
        const auto row = [&](const std::string &part, const char *mode, double margin, const std::string &place)
        {
          const std::string band = bands ? fmt::format("{},{}", 0.7 * margin, 1.4 * margin) : ",";
          out << fmt::format("6.01,{},{},50,{},{},1,{},MPa,{},{},,{},made up,6\n", week, activity, part, mode, margin, margin, band, place);
        };
        row("plate", "yield", 1.2 * factor * ease, "3,15,-29");
        row("screw_3", "push_out", 1.6 * ease, ",,");
        for (int screw = 1; screw <= 6; ++screw)
          row(fmt::format("screw_{}", screw), "yield", (2.0 + screw) * ease, fmt::format("-3,10,{}", -10 * screw));
        row("cortex_distal", "yield", 8 * ease, "0,0,-30");
      }
    out << "6.01,8,normal,,plate,fatigue,1,1,1,20,,,,,,,made up,6\n";
  }

  /// A cut of 40 x 24 mm in squares of 4 mm; open where arc < open_to.
  void cut_map_csv(double open_to, double pressure_mpa) const
  {
    std::ofstream out = file("cut_map.csv");
    out << "plateau_angle_deg,week,activity,stance_percent,face,area_mm2,contact_percent,pressure_mpa,callus_mpa,slip_mm,state,arc_1_mm,y_1_mm,"
           "arc_2_mm,y_2_mm,arc_3_mm,y_3_mm,plateau_angle_target_deg\n";
    for (const int week : {0, 4})
      for (int a = -20; a < 20; a += 4)
        for (int y = -12; y < 12; y += 4)
          for (const int half : {0, 1})
          {
            const bool open = a < open_to;
            out << fmt::format("6.01,{},trot,50,1,8,{},{},0,0,{},{},{},{},{},{},{},6\n", week, open ? 0 : 100, open ? 0.0 : pressure_mpa,
                               open ? "open" : "stuck", a, y, a + 4, y + 4 * half, a + 4 * (1 - half), y + 4);
          }
  }
};
} // namespace

// Requirement: each part is labelled with its least margin and its class; an overloaded part shows the darkest class beyond the key.
TEST_F(HealingPictures, ColourPlateAndScrewsByTheirMargin)
{
  write_vtu(folder_ + "/toy.vtu", toy_construct());
  auto wanted = picture<PartMarginPicture>("parts");
  wanted.vtu = folder_ + "/toy.vtu";
  std::string why;
  margins_csv(1, false);
  expect_drawn("parts", draw_part_margins(wanted, &why), why);
  const long before = pixels_of(wanted.png, tint(1));
  margins_csv(0.5, false); // the plate's least margin goes from 1.2 to 0.6
  expect_drawn("parts", draw_part_margins(wanted, &why), why);
  EXPECT_GT(pixels_of(wanted.png, tint(1)), before + 3500); // the field beside its label: 48 x 92 pixels less frame and leader
}

// Requirement: a left limb is drawn from its mirrored field with the anatomical places of the table.
TEST_F(HealingPictures, ColourALeftLimb)
{
  write_vtu(folder_ + "/toy.vtu", toy_construct(), true);
  margins_csv(1, false);
  auto wanted = picture<PartMarginPicture>("left");
  wanted.vtu = folder_ + "/toy.vtu";
  std::string why;
  expect_drawn("left", draw_part_margins(wanted, &why), why);
}

// Requirement: faces that do not touch are hatched, whatever their colour. Hand: lines of 1.2 pixels every 14 / sqrt(2) = 9.9 pixels cover
// 12 % and touch up to 25 % of the pixels; with half of the faces open that is 6 to 13 % of all.
TEST_F(HealingPictures, HatchTheOpenPartOfTheCut)
{
  const auto wanted = picture<CutMapPicture>("cut_map");
  const Colour lightest = tint(0.35 / 6); // first of six classes
  std::string why;
  cut_map_csv(-100, 0); // no pressure: only the hatching differs
  expect_drawn("cut_map", draw_cut_map(wanted, &why), why);
  const double closed = double(pixels_of(wanted.png, lightest));
  cut_map_csv(0, 0);
  expect_drawn("cut_map", draw_cut_map(wanted, &why), why);
  const double share = 1 - double(pixels_of(wanted.png, lightest)) / closed;
  EXPECT_GT(share, 0.05);
  EXPECT_LT(share, 0.15);
}

// Requirement: more weeks than panels are thinned, not squeezed: the width stays, two lines of panels.
TEST_F(HealingPictures, ThinManyWeeksOfTheCut)
{
  std::ofstream out = file("cut_map.csv");
  out << "week,activity,stance_percent,area_mm2,contact_percent,pressure_mpa,callus_mpa,slip_mm,state,arc_1_mm,y_1_mm,arc_2_mm,y_2_mm,arc_3_mm,"
         "y_3_mm,plateau_angle_target_deg\n";
  for (int week = 0; week < 20; ++week)
    out << fmt::format("{},trot,50,200,100,{},0,0.001,stuck,0,0,20,0,0,20,6\n", week, 1 + week);
  out.close();
  std::string why;
  const Looks seen = expect_drawn("many", draw_cut_map(picture<CutMapPicture>("many"), &why), why);
  EXPECT_EQ(seen.width, 1700);
  EXPECT_LT(seen.height, 1800);
}

// Requirement: low and high are shown where a row has them: one bar a point.
TEST_F(HealingPictures, ShowTheBandOfAMargin)
{
  const auto wanted = picture<MarginPicture>("weeks");
  std::string why;
  margins_csv(1, false);
  expect_drawn("weeks", draw_margin_weeks(wanted, &why), why);
  const double without = looks(wanted.png).tinted;
  margins_csv(1, true);
  const Looks with_bars = expect_drawn("weeks", draw_margin_weeks(wanted, &why), why);
  // Six bars: ln(1.4 / 0.7) of some ln(60) of 640 pixels, 3 wide, with two ends of 12 x 3; half of that at least.
  EXPECT_GT(with_bars.tinted, without + 0.5 * 6 * (640 * std::log(2.0) / std::log(60.0) * 3 + 72) / (double(with_bars.width) * with_bars.height));
}

// Requirement: without a mode the least over all modes is drawn, but not what runs over all weeks and so has no week of its own.
TEST_F(HealingPictures, LeaveFatigueOutOfTheWeeks)
{
  std::ofstream out = file("margins.csv");
  out << margin_columns << "6.01,8,normal,,plate,fatigue,1,1,1,20,,,,,,,made up,6\n";
  out.close();
  auto wanted = picture<MarginPicture>("all");
  wanted.mode.clear();
  std::string why;
  EXPECT_FALSE(draw_margin_weeks(wanted, &why));
  EXPECT_NE(why.find("all modes"), std::string::npos) << why;
  margins_csv(1, false);
  expect_drawn("all", draw_margin_weeks(wanted, &why), why);
}

TEST_F(HealingPictures, ShowWhereTheLoadGoes)
{
  std::ofstream cut = file("cut.csv"), screws = file("screws.csv");
  cut << "week,activity,stance_percent,load_through_bone_percent,plateau_angle_target_deg\n";
  screws << "week,activity,stance_percent,screw,axial_n,shear_n,plateau_angle_target_deg,segment\n";
  for (const int week : {0, 2, 4, 8})
  {
    cut << fmt::format("{},walk,40,{},6\n", week, 30 + 7 * week);
    for (int s = 1; s <= 6; ++s)
      screws << fmt::format("{},walk,40,screw_{},{},{},6,{}\n", week, s, (s - 3) * 40, s * 100 / (1 + week), s < 4 ? "proximal" : "distal");
  }
  cut.close();
  screws.close();
  std::string why; // asked for 50 % of stance: the nearest instant serves
  expect_drawn("share", draw_load_share(picture<LoadSharePicture>("share"), &why), why);
  auto other = picture<LoadSharePicture>("none");
  other.activity = "trot";
  EXPECT_FALSE(draw_load_share(other, &why));
  EXPECT_NE(why.find("trot"), std::string::npos) << why;
}

// Requirement: what is missing is one line that names it, and no picture.
TEST_F(HealingPictures, TellWhatIsMissing)
{
  std::string why;
  const auto expect_told = [&](bool drawn, const std::string &word)
  {
    EXPECT_FALSE(drawn);
    EXPECT_NE(why.find(word), std::string::npos) << why;
    EXPECT_EQ(why.find('\n'), std::string::npos);
  };
  expect_told(draw_cut_map(picture<CutMapPicture>("x"), &why), "cut_map.csv");
  expect_told(draw_margin_weeks(picture<MarginPicture>("x"), &why), "margins.csv");
  expect_told(draw_load_share(picture<LoadSharePicture>("x"), &why), "cut.csv");
  auto parts = picture<PartMarginPicture>("x");
  parts.vtu = folder_ + "/toy.vtu";
  expect_told(draw_part_margins(parts, &why), "toy.vtu");
  write_vtu(parts.vtu, toy_construct());
  file("margins.csv") << margin_columns << "6.01,0,walk,50,screw_9,yield,1,2,MPa,2,,,,,,,made up,6\n";
  expect_told(draw_part_margins(parts, &why), "screw_9");
  cut_map_csv(0, 2);
  file("cut_map.csv") << "week,plateau_angle_target_deg\n";
  expect_told(draw_cut_map(picture<CutMapPicture>("x"), &why), "no faces");
  EXPECT_FALSE(std::filesystem::exists(folder_ + "/x.png"));
}
