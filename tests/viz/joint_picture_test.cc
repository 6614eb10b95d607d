// Requirements of the joint pictures, on tables made by hand (numbers invented, columns of the contract).
#include "models/core/files.h"
#include "tests/viz/picture_looks.h"
#include "viz/joint_drawing.h"
#include "viz/joint_rows.h"
#include "viz/picture.h"
#include "viz/virtual_screen.h"
#include <cmath>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::viz;

namespace
{
std::string folder()
{
  const auto path = std::filesystem::temp_directory_path() / "stifle_viz_joint";
  std::filesystem::create_directories(path);
  return path.string();
}

const char *const key_columns = "plateau_angle_deg,plateau_angle_target_deg,ligament,repair,load_set,activity,stance_percent";

/// Thrust 400 N * sin(angle - neutral): neutral slopes 12, 9 and 7 degrees by construction.
void write_joint_csv()
{
  std::ofstream file(folder() + "/joint.csv");
  file << key_columns << ",stifle_angle_deg,thrust_n,cruciate_cranial_n,translation_cranial_mm,hock_force_n\n";
  const std::pair<const char *, double> activities[] = {{"stand", 12}, {"walk", 9}, {"trot", 7}};
  for (int angle = -5; angle <= 25; ++angle)
    for (const char *ligament : {"intact", "torn"})
      for (const auto &[activity, neutral] : activities)
        file << fmt::format("{0},{0},{1},{2},stance,{3},50,135,{4},{5},{6},520\n", angle, ligament,
                            angle == 25 ? "none" : "levelling", activity, 400 * std::sin((angle - neutral) * pi / 180),
                            ligament[0] == 'i' ? 80 : 0, ligament[0] == 'i' ? 0.5 : 7);
}

void write_pose_csv()
{
  std::ofstream file(folder() + "/joint_pose.csv");
  file << key_columns << ",point,x_mm,y_mm,z_mm,fx_n,fy_n,fz_n\n";
  const auto write = [&](int angle, const char *repair)
  {
    const std::string key = fmt::format("{0},{0},torn,{1},stance,walk,50", angle, repair);
    file << key << ",contact_medial,-1,10,0,50,0,-220\n" << key << ",contact_lateral,-1,-10,0,50,0,-220\n";
    file << key << ",patellar_tendon,31,0,-14,30,0,300\n" << key << ",patella,35,0,26,,,\n";
    file << key << ",femur_origin,-5,0,12,,,\n" << key << ",hock,0,0,-200,20,0,400\n";
    file << key << ",cruciate_caudal,-11,0,-7,-60,0,40\n" << key << ",secondary,0,0,-5,-80,0,-30\n";
    file << key << ",hamstrings,5,0,-45,0,0,0\n" << key << ",calcanean_share,-9,0,-60,-12,0,-90\n";
  };
  write(25, "none");
  write(6, "levelling");
}

RowKey walk(const char *repair, double angle) { return {repair, angle, "torn", "stance", "walk", 50}; }
} // namespace

// Requirement: a row is found by its key columns, an empty cell is not a number.
TEST(JointRowsOfAFile, AreFoundByTheirKey)
{
  write_joint_csv();
  write_pose_csv();
  const JointRows rows(folder() + "/joint.csv");
  const auto found = rows.find(walk("levelling", 6));
  ASSERT_EQ(found.size(), 1u);
  EXPECT_NEAR(*rows.number(found[0], "thrust_n"), 400 * std::sin(-3 * pi / 180), 1e-3); // by construction
  const auto points = pose_points(JointRows(folder() + "/joint_pose.csv"), walk("levelling", 6));
  EXPECT_EQ(points.size(), 10u);
  EXPECT_EQ(points.at("patellar_tendon").force_n.z(), 300);
}

// Requirement: forces are drawn as their sagittal parts; both compartments are one arrow, nearer to the larger one.
TEST(DrawnForces, AreProjectedAndJoined)
{
  std::map<std::string, PosePoint> points;
  points["contact_medial"] = {Vector3(-4, 10, 1), Vector3(30, 99, -300)};
  points["contact_lateral"] = {Vector3(0, -10, 1), Vector3(10, -99, -60)};
  points["suture"] = {Vector3(20, -15, -20), Vector3(-30, 20, 40)};
  points["collateral_medial_distal"] = {Vector3(0, 11, -28), Vector3(0, 2, 24)};
  points["femur_origin"] = {Vector3(-5, 0, 12), Vector3::Zero()};
  const auto drawn = drawn_forces(points);
  ASSERT_EQ(drawn.size(), 3u); // femur_origin is a place, not a force
  EXPECT_EQ(drawn[0].words, "contact");
  EXPECT_NEAR(drawn[0].force_n.norm(), std::hypot(40, 360), 1e-9); // hand: 30 + 10 cranial, 300 + 60 distal; y left out
  // hand: |(30, 99, -300)| = 317.33, |(10, -99, -60)| = 116.19; -4 * 317.33 / 433.52 = -2.928
  EXPECT_NEAR(drawn[0].at.x(), -2.928, 1e-3);
  EXPECT_EQ(drawn[1].words, "medial collateral");
  EXPECT_EQ(drawn[2].words, "suture");
  EXPECT_NEAR(drawn[2].force_n.norm(), 50, 1e-9); // 3-4-5
  EXPECT_EQ(drawn[2].at.y(), 0);
}

// Requirement: the scale of the arrows is round and lets the largest force be between 20 and 50 mm of bone.
TEST(ForceScales, AreRoundAndFit)
{
  EXPECT_NEAR(force_scale_n_per_mm(500), 10, 1e-12); // 500 N / 50 mm
  EXPECT_NEAR(force_scale_n_per_mm(501), 20, 1e-12);
  EXPECT_NEAR(force_scale_n_per_mm(210), 5, 1e-12); // 210 / 50 = 4.2, the next of 1, 2, 5, 10
  for (double force = 1; force < 5000; force *= 1.3)
  {
    const double length_mm = force / force_scale_n_per_mm(force);
    EXPECT_LE(length_mm, 50 + 1e-9) << force;
    EXPECT_GE(length_mm, 20 - 1e-9) << force; // the widest step, 2 to 5, is a factor of 2.5
  }
}

TEST(ThrustPictures, ShowTheCurves)
{
  VirtualScreen screen;
  if (!screen.ready())
    GTEST_SKIP() << screen.problem();
  write_joint_csv();
  ThrustPicture picture;
  picture.folder = folder();
  picture.png = folder() + "/thrust.png";
  std::string why;
  ASSERT_TRUE(draw_thrust(picture, &why)) << why;
  const Looks seen = looks(picture.png);
  EXPECT_GE(seen.width, 1000);
  EXPECT_GT(seen.colours, 150u); // three line colours mixed with white at their edges; axes and text alone stay greys
  EXPECT_GT(seen.tinted, 0.003); // the curves themselves
}

// Requirement: the neutral slope and its band come from summary.json where it states them; a broken file changes nothing.
TEST(ThrustPictures, MarkTheStatedNeutralSlope)
{
  VirtualScreen screen;
  if (!screen.ready())
    GTEST_SKIP() << screen.problem();
  write_joint_csv();
  ThrustPicture picture;
  picture.folder = folder();
  picture.repair = "levelling";
  const auto drawn = [&](const std::string &name, const std::string &summary)
  {
    write_file(folder() + "/summary.json", summary);
    picture.png = folder() + "/" + name;
    std::string why;
    EXPECT_TRUE(draw_thrust(picture, &why)) << why;
    return read_file(picture.png);
  };
  const std::string without = drawn("without.png", "{}");
  EXPECT_EQ(drawn("broken.png", "{\"neutral_by_activity\": [1"), without);
  EXPECT_EQ(drawn("other.png", "{\"neutral_by_activity\": 3}"), without);
  const std::string stated = drawn("stated.png", "{\"neutral_by_activity\": {\"walk\": 2.5}}");
  EXPECT_NE(stated, without);
  EXPECT_NE(drawn("band.png", "{\"neutral_by_activity\": {\"walk\": 2.5}, \"neutral_band\": {\"walk\": {\"low\": 1, \"high\": 4}}}"), stated);
  // Beyond the sweep the key alone tells it: two slopes of one wording make one picture.
  EXPECT_EQ(drawn("beyond.png", "{\"neutral_by_activity\": {\"walk\": 41.04}}"), drawn("beyond2.png", "{\"neutral_by_activity\": {\"walk\": 40.96}}"));
  std::filesystem::remove(folder() + "/summary.json");
}

// Requirement: a folder without results, or a load set without rows, is one line and no abort.
TEST(ThrustPictures, TellWhatIsMissing)
{
  VirtualScreen screen;
  if (!screen.ready())
    GTEST_SKIP() << screen.problem();
  ThrustPicture picture;
  picture.folder = folder() + "/none";
  std::string why;
  EXPECT_FALSE(draw_thrust(picture, &why));
  EXPECT_NE(why.find("joint.csv"), std::string::npos);
  write_joint_csv();
  picture.folder = folder();
  picture.load_set = "press";
  EXPECT_FALSE(draw_thrust(picture, &why));
  EXPECT_NE(why.find("press"), std::string::npos);
}

TEST(JointPictures, ShowTheForcesBeforeAndAfter)
{
  VirtualScreen screen;
  if (!screen.ready())
    GTEST_SKIP() << screen.problem();
  write_joint_csv();
  write_pose_csv();
  JointPicture picture;
  picture.folder = folder();
  picture.png = folder() + "/joint.png";
  picture.title = "Walk, 50 % of stance, cranial cruciate ligament torn";
  picture.panels = {walk("none", 25), walk("levelling", 6)};
  std::string why;
  ASSERT_TRUE(draw_joint(picture, &why)) << why;
  const Looks seen = looks(picture.png);
  EXPECT_GE(seen.width, 1000);
  EXPECT_GT(seen.colours, 150u);
  EXPECT_GT(seen.tinted, 0.05); // two bones in bone colour
  // Requirement: a third panel widens the picture by its own width and leaves the height.
  JointPicture three = picture;
  three.panels.insert(three.panels.begin(), walk("none", 25));
  three.png = folder() + "/joint_three.png";
  ASSERT_TRUE(draw_joint(three, &why)) << why;
  const Looks wide = looks(three.png);
  EXPECT_EQ(wide.width * 2, seen.width * 3);
  EXPECT_EQ(wide.height, seen.height);
  picture.panels[1] = walk("levelling", 3.5);
  EXPECT_FALSE(draw_joint(picture, &why));
  EXPECT_NE(why.find("3.5"), std::string::npos);
}
