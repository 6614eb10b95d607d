// Requirements of the pictures of joint studies, on tables made by hand (numbers invented, columns of the contract).
#include "tests/viz/picture_fixture.h"
#include "viz/picture.h"
#include <fmt/format.h>

using namespace stifle::viz;

namespace
{
class StudyPictures : public PictureFixture
{
protected:
  StudyPictures() : PictureFixture("stifle_viz_study") {}

  /// Higher, most of the sheet white, all files written beside and renamed.
  void expect_drawn(const std::string &name, bool drawn, const std::string &why) const
  {
    ASSERT_TRUE(drawn) << why;
    const Looks seen = PictureFixture::expect_drawn(name, drawn, why);
    EXPECT_GE(seen.height, 800);
    EXPECT_GT(seen.white, 0.5);
    EXPECT_FALSE(std::filesystem::exists(folder_ + "/" + name + ".png.part"));
  }
  void joint_csv() const
  {
    std::ofstream out = file("joint.csv");
    out << "plateau_angle_deg,plateau_angle_target_deg,ligament,repair,load_set,activity,stance_percent,thrust_n,thrust_low_n,"
           "thrust_high_n,translation_cranial_mm\n";
    for (const int percent : {25, 50, 75})
    {
      const double load = 1 - 0.01 * std::abs(percent - 50);
      const auto row = [&](double angle, const char *ligament, const char *repair, double thrust, double moved)
      {
        out << fmt::format("{0},{0},{1},{2},stance,walk,{3},{4},{5},{6},{7}\n", angle, ligament, repair, percent, thrust * load,
                           thrust * load - 15, thrust * load + 15, moved * load);
      };
      row(25, "intact", "none", 60, 0);
      row(25, "torn", "none", 60, 4.5);
      row(25, "torn", "suture", 60, 2.0);
      row(25, "torn", "advancement", 60, 1.0);
      row(5, "torn", "wedge", -20, -2.5);
      for (const int target : {0, 6, 15})
        row(target, "torn", "levelling", 4.5 * target - 45, 0.4 * target - 5);
    }
  }
  void passive_csv() const
  {
    std::ofstream out = file("passive.csv");
    out << "test,repair,plateau_angle_deg,ligament,stifle_angle_deg,hand_force_n,hand_moment_nmm,axial_force_n,"
           "translation_cranial_mm,total_laxity_mm,rotation_internal_deg,cruciate_cranial_n,cruciate_caudal_n,converged,reason\n";
    for (const int flexion : {110, 145})
      for (const int hand : {40, -40})
      {
        const double sign = hand > 0 ? 1 : -0.3;
        out << fmt::format("drawer,none,25,intact,{},{},0,20,{},2,0,0,0,true,\n", flexion, hand, 1.1 * sign);
        out << fmt::format("drawer,none,25,torn,{},{},0,20,{},9,0,0,0,true,\n", flexion, hand, 7.4 * sign);
        out << fmt::format("drawer,levelling,6.01,torn,{},{},0,20,{},9,0,0,0,true,\n", flexion, hand, 7.1 * sign);
      }
    out << "rotation,none,25,torn,140,0,500,20,0.3,,12,0,0,true,\n";
  }
};
} // namespace

TEST_F(StudyPictures, ShowTranslationOverStance)
{
  joint_csv();
  std::string why;
  const bool drawn = draw_translation(picture<TranslationPicture>("translation"), &why);
  expect_drawn("translation", drawn, why);
}

// Requirement: one instant makes no curve; the line says what was looked for.
TEST_F(StudyPictures, NeedTwoInstantsForACurve)
{
  joint_csv();
  auto wanted = picture<TranslationPicture>("none");
  wanted.activity = "trot";
  std::string why;
  EXPECT_FALSE(draw_translation(wanted, &why));
  EXPECT_NE(why.find("trot"), std::string::npos) << why;
  EXPECT_FALSE(std::filesystem::exists(wanted.png));
}

TEST_F(StudyPictures, ShowTheDrawerBesideWeightBearing)
{
  joint_csv();
  passive_csv();
  std::string why;
  const bool drawn = draw_drawer(picture<DrawerPicture>("drawer"), &why);
  expect_drawn("drawer", drawn, why);
}

TEST_F(StudyPictures, ShadeTheBandOfTheThrust)
{
  joint_csv();
  std::string why;
  auto wanted = picture<ThrustPicture>("thrust");
  wanted.activities = {"walk"};
  const bool drawn = draw_thrust(wanted, &why);
  expect_drawn("thrust", drawn, why);
  // The same curve without a band leaves more of the sheet white: 30 N of some 120 N of axis, over nearly half of the sheet.
  const double with_band = looks(wanted.png).white;
  std::ofstream out = file("joint.csv");
  out << "plateau_angle_deg,plateau_angle_target_deg,ligament,repair,load_set,activity,stance_percent,thrust_n\n";
  for (const int angle : {0, 6, 15})
    out << fmt::format("{0},{0},torn,levelling,stance,walk,50,{1}\n", angle, 4.5 * angle - 45);
  out.close();
  ASSERT_TRUE(draw_thrust(wanted, &why)) << why;
  EXPECT_LT(with_band, looks(wanted.png).white - 0.04);
}

TEST_F(StudyPictures, ShowThePostures)
{
  std::ofstream out = file("posture.csv");
  out << "repair,ligament,stifle_angle_deg,thrust_n,cruciate_cranial_n,cruciate_caudal_n\n";
  for (int angle = 110; angle <= 170; angle += 10)
    for (const char *ligament : {"intact", "torn"})
      out << fmt::format("none,{},{},{},{},0\n", ligament, angle, 200 - angle, ligament[0] == 'i' ? 2 * (180 - angle) : 0);
  out.close();
  std::string why;
  const bool drawn = draw_posture(picture<PosturePicture>("posture"), &why);
  expect_drawn("posture", drawn, why);
}

TEST_F(StudyPictures, ShowTheRepairsSideBySide)
{
  std::ofstream out = file("repairs.csv");
  out << "activity,stance_percent,ligament,repair,plateau_angle_deg,plateau_angle_target_deg,subluxation_mm,repair_load_n,"
         "strength_low_mode,strength_low_n,strength_high_mode,strength_high_n\n"
         "walk,50,intact,none,25,25,0,,,,,\nwalk,50,torn,none,25,25,4.4,,,,,\nwalk,50,torn,levelling,15,15,1.2,,,,,\n"
         "walk,50,torn,levelling,6,6,-3.1,,,,,\nwalk,50,torn,wedge,5,5,-2.7,,,,,\n"
         "walk,50,torn,suture,25,25,2.1,85,yield,320,peak,480\n"
         "walk,50,torn,advancement,25,25,0.9,190,pull_out_badly_placed,400,pull_out_well_placed,800\n";
  out.close();
  std::string why;
  const bool drawn = draw_repairs(picture<RepairsPicture>("repairs"), &why);
  expect_drawn("repairs", drawn, why);
}

// Requirement: a file or a column that is missing is one line that names it, and no picture.
TEST_F(StudyPictures, TellWhatIsMissing)
{
  std::string why;
  const auto expect_told = [&](bool drawn, const std::string &word)
  {
    EXPECT_FALSE(drawn);
    EXPECT_NE(why.find(word), std::string::npos) << why;
    EXPECT_EQ(why.find('\n'), std::string::npos);
  };
  expect_told(draw_translation(picture<TranslationPicture>("x"), &why), "joint.csv");
  expect_told(draw_drawer(picture<DrawerPicture>("x"), &why), "passive.csv");
  expect_told(draw_posture(picture<PosturePicture>("x"), &why), "posture.csv");
  expect_told(draw_repairs(picture<RepairsPicture>("x"), &why), "repairs.csv");
  file("posture.csv") << "repair,ligament,stifle_angle_deg\nnone,intact,140\n";
  expect_told(draw_posture(picture<PosturePicture>("x"), &why), "thrust_n");
  file("passive.csv") << "test,hand_force_n,stifle_angle_deg\nrotation,0,140\n";
  joint_csv();
  expect_told(draw_drawer(picture<DrawerPicture>("x"), &why), "drawer");
}
