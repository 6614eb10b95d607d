#include "models/core/error.h"
#include "models/core/files.h"
#include "models/limb/activities.h"
#include "tests/models/core/temporary.h"

#include <cmath>
#include <gtest/gtest.h>
#include <random>

using namespace stifle;

// Requirement: a damaged table is either refused with a place in the file or read into finite numbers; never a crash.
TEST(Activities, SurviveDamagedFiles)
{
  const TemporaryFolder folder;
  const std::string whole = read_file(data_file("models/limb/activities.yaml"));
  std::mt19937 random(7); // fixed seed
  const auto below = [&](std::size_t n) { return std::size_t(random() % n); };
  int refused = 0;
  for (int i = 0; i < 300; ++i)
  {
    std::string text = whole;
    for (std::size_t k = 0; k <= below(3); ++k)
      switch (below(4))
      {
      case 0:
        text[below(text.size())] = char(below(256));
        break;
      case 1:
        text.erase(below(text.size()), 1 + below(40));
        break;
      case 2:
        text.insert(below(text.size()), text.substr(below(text.size()), 1 + below(60)));
        break;
      default:
        text.resize(1 + below(text.size()));
      }
    try
    {
      for (const Activity &activity : read_activities(folder.write("table.yaml", text)))
        for (const ActivityRow &row : activity.rows)
          EXPECT_TRUE(std::isfinite(row.percent + row.tibia_tilt_deg + row.force_up_bw + row.force_medial_bw)) << i;
    }
    catch (const InputError &error)
    {
      ++refused;
      ASSERT_FALSE(error.problems().empty()) << i;
      EXPECT_GE(error.problems()[0].line, 0) << i;
    }
  }
  EXPECT_GT(refused, 100); // the damage is real
}
