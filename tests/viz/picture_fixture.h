// tests/viz/picture_fixture.h - pictures drawn from tables made by hand, in a folder of their own, on a screen that is there
//   needs   a virtual screen; without one the tests are skipped, under CI they fail
#pragma once
#include "tests/viz/picture_looks.h"
#include "viz/virtual_screen.h"
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

class PictureFixture : public ::testing::Test
{
protected:
  /// `name`: of the folder, below that for temporary files.
  explicit PictureFixture(const std::string &name) : folder_((std::filesystem::temp_directory_path() / name).string()) {}
  void SetUp() override
  {
    ASSERT_TRUE(screen_.ready() || !std::getenv("CI")) << screen_.problem();
    if (!screen_.ready())
      GTEST_SKIP() << screen_.problem();
    std::filesystem::remove_all(folder_);
    std::filesystem::create_directories(folder_);
  }

  std::ofstream file(const std::string &name) const { return std::ofstream(folder_ + "/" + name); }
  template <class Picture> Picture picture(const std::string &name) const
  {
    Picture picture;
    picture.folder = folder_;
    picture.png = folder_ + "/" + name + ".png";
    picture.caution = "Made by hand for a test.";
    return picture;
  }
  /// Drawn, large, with coloured lines, bars or faces.
  Looks expect_drawn(const std::string &name, bool drawn, const std::string &why) const
  {
    EXPECT_TRUE(drawn) << why;
    if (!drawn)
      return {};
    const Looks seen = looks(folder_ + "/" + name + ".png");
    EXPECT_GE(seen.width, 1000);
    EXPECT_GE(seen.height, 600);
    EXPECT_GT(seen.colours, 100u); // a blank sheet has one
    EXPECT_GT(seen.tinted, 0.002); // lines, bars or faces: axes and text are grey
    return seen;
  }

  std::string folder_;
  stifle::viz::VirtualScreen screen_;
};
