// Requirements of cut_map.csv: which state is kept, where a face lies on the arc; expected values by hand.
#include "scenarios/app/cut_map.h"
#include "models/core/files.h"
#include <filesystem>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::app;

namespace
{
CutMap map(double week, double hock_n, const char *activity, std::size_t faces = 1)
{
  return {week, activity, 50, hock_n, std::vector<CutMapFace>(faces)};
}
} // namespace

// Requirement: of each week the state with the largest hock force stays; a state without faces never does.
TEST(CutMaps, KeepTheLargestLoadOfEachWeek)
{
  std::vector<CutMap> kept;
  for (const CutMap &one : {map(0, 200, "walk"), map(0, 500, "trot"), map(0, 300, "stand"), map(4, 100, "walk"), map(4, 900, "jump", 0)})
    keep_larger_load(kept, one);
  ASSERT_EQ(kept.size(), 2u);
  EXPECT_EQ(kept[0].activity, "trot");
  EXPECT_EQ(kept[1].activity, "walk");
}

// Requirement: the arc is measured from its lowest line, cranial positive. Hand: a quarter of a circle of 24 mm is 12 pi.
TEST(CutMaps, MeasureAlongTheArc)
{
  const Vector3 centre(2, 0, -1);
  EXPECT_NEAR(arc_mm(centre + Vector3(0, 7, -24), centre, 24), 0, 1e-12);
  EXPECT_NEAR(arc_mm(centre + Vector3(24, 0, 0), centre, 24), 12 * pi, 1e-9);
  EXPECT_NEAR(arc_mm(centre + Vector3(-24 * std::sin(pi / 6), 0, -24 * std::cos(pi / 6)), centre, 24), -4 * pi, 1e-9);
}

// Requirement: a slope that was stored and read again writes the same table; a row names state and place.
TEST(CutMaps, SurviveTheStore)
{
  SlopeResult slope;
  slope.target_deg    = 6;
  slope.cut_radius_mm = 24;
  CutMap kept         = map(2, 500, "trot");
  kept.faces[0]       = {{Vector3(0, 1, -24), Vector3(0, 4, -24), Vector3(0, 1, -24)}, 3.5, 0.5, 2.25, 0.125, -0.0625, 0.5, CutTouch::slip};
  slope.cut_maps      = {kept};
  SlopeResult again;
  ASSERT_TRUE(read_slope_text(slope_text(slope, "mark"), "mark", again));
  const std::string csv = cut_map_csv({slope});
  EXPECT_EQ(cut_map_csv({again}), csv);
  const std::string file = (std::filesystem::temp_directory_path() / "stifle_cut_map.csv").string();
  write_file(file, csv);
  const ReadTable table = read_table(file);
  ASSERT_EQ(table.rows.size(), 1u);
  const auto cell = [&](const char *name) { return table.rows[0][table.column(name)]; };
  EXPECT_EQ(cell("state"), "slip");
  EXPECT_EQ(cell("y_mm"), "2"); // mean of 1, 4, 1
  EXPECT_EQ(cell("arc_mm"), "0");
  EXPECT_EQ(cell("contact_percent"), "50");
  EXPECT_EQ(cell("pressure_mpa"), "2.25");
  EXPECT_EQ(cell("callus_mpa"), "0.125");
  EXPECT_EQ(cell("opening_mm"), "-0.0625");
  EXPECT_EQ(cell("week"), "2");
}
