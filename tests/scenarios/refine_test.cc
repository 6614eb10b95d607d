// `stifle run --refine`: the worst state again on a mesh that is finer where its error estimate is largest
#include "models/core/files.h"
#include "scenarios/app/excluded_peaks.h"
#include "scenarios/app/refine_store.h"
#include "solver/construct_results.h"
#include "tests/solver/demo_construct.h"
#include "tests/support/program.h"
#include <algorithm>
#include <gtest/gtest.h>
#include <map>
#include <sstream>

using namespace stifle;
using namespace stifle::app;

namespace
{
double number(const ReadTable &table, const std::vector<std::string> &row, const std::string &column)
{
  return std::stod(row[table.column(column)]);
}

void expect_narrow(const std::string &text)
{
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);)
    EXPECT_LE(line.size(), 80u) << line;
}
} // namespace

// Requirement (issue 6): --refine reports the change of each reported peak of the worst state; a second run takes it up.
TEST(Refine, ReportsTheChangeOfEveryPeakOfTheWorstState)
{
  const std::string out = fresh_folder("refine");
  write_file(out + "/dog.yaml", "levelling: {plateau_angles_deg: [6]}\nactivities: [walk]\n"
                                "study: {stance_percent: [25, 50], sweep_plateau_deg: [0, 30, 10]}\n"
                                "mesh: {bone_size_mm: 5, detail_size_mm: 1.2}\noutput: {pictures: false, fields: none}\n");
  const std::string command = "run " + out + "/dog.yaml --refine --out " + out + "/results";
  const ProgramRun  run     = run_program(command);
  ASSERT_EQ(run.exit_code, 0) << run.output;
  EXPECT_NE(run.output.find("Finer mesh, worst state"), std::string::npos) << run.output;
  const ReadTable refined = read_table(out + "/results/refine.csv"), first = read_table(out + "/results/construct.csv");
  // The worst state by hand from construct.csv: all parts of metal yield alike, so it is the largest kept peak of metal.
  double      largest = 0;
  std::string percent;
  for (const auto &row : first.rows)
    if (const std::string part = row[first.column("part")];
        row[first.column("excluded")] == "0" && (part == "plate" || part.rfind("screw_", 0) == 0) &&
        number(first, row, "peak_von_mises_mpa") > largest)
    {
      largest = number(first, row, "peak_von_mises_mpa");
      percent = row[first.column("stance_percent")];
    }
  std::map<std::string, double> kept; // part -> peak on the first mesh, in that state
  for (const auto &row : first.rows)
    if (row[first.column("excluded")] == "0" && row[first.column("stance_percent")] == percent &&
        number(first, row, "plateau_angle_target_deg") == 6)
      kept[row[first.column("part")]] = number(first, row, "peak_von_mises_mpa");
  std::size_t compared = 0, better = 0;
  for (const auto &row : refined.rows)
  {
    EXPECT_EQ(row[refined.column("stance_percent")], percent);
    const double before = number(refined, row, "peak_von_mises_mpa"), after = number(refined, row, "refined_peak_von_mises_mpa");
    EXPECT_NEAR(number(refined, row, "change_percent"), 100 * (after / before - 1), 1e-3);
    if (row[refined.column("excluded")] != "0")
      continue;
    EXPECT_NEAR(before, kept.at(row[refined.column("part")]), 1e-5 * before); // same mesh, same state
    ++compared;
    better += number(refined, row, "refined_error_estimate_percent") < number(refined, row, "error_estimate_percent");
  }
  EXPECT_EQ(compared, kept.size());
  EXPECT_GT(2 * better, compared); // the estimate falls where the mesh is finer, in most parts
  const ProgramRun again = run_program(command);
  EXPECT_EQ(again.exit_code, 0) << again.output;
  const std::size_t line = again.output.find("\nrefine ");
  ASSERT_NE(line, std::string::npos) << again.output;
  EXPECT_LT(again.output.find("finished by an earlier run", line), again.output.find('\n', line + 1)) << again.output;
  EXPECT_EQ(read_table(out + "/results/refine.csv").rows, refined.rows);
  std::printf("%s", run.output.substr(run.output.find("Finer mesh, worst state")).c_str());
}

// Requirement: no mesh settles at an excluded line, so none is refined there; every kept peak is a place of its own, with half the
// edge length of its cells.
TEST(Refine, LeavesExcludedLinesAlone)
{
  solver::ConstructModel model(solver::demo().construct, solver::demo().anatomy, solver::demo().levelling, solver::demo().materials);
  const ConstructState state = model.solve(solver::demo().loads, solver::CutLaw());
  ASSERT_TRUE(state.converged);
  const auto places = refine_places(model, state.peaks);
  const auto distance = [](const Vector3 &x, const mesh::TetMesh::ExcludedLine &line) {
    const Vector3 along = line.to - line.from;
    const double  s     = std::min(1.0, std::max(0.0, (x - line.from).dot(along) / along.squaredNorm()));
    return (line.from + s * along - x).norm();
  };
  ASSERT_GT(places.size(), 50u);
  for (const mesh::SizePoint &p : places)
  {
    EXPECT_GT(p.size_mm, 0.05);
    EXPECT_LT(p.size_mm, 4); // half of a bone edge of 5 mm, with room
    double nearest = 1e9;
    for (const auto &line : model.elasticity().mesh().excluded)
      nearest = std::min(nearest, distance(p.place, line));
    EXPECT_GT(nearest, 0.5 * solver::excluded_distance_mm); // corners lie beyond the distance, so the middle is not far inside
  }
  for (const PartPeak &peak : state.peaks)
    if (!peak.excluded)
    {
      EXPECT_TRUE(std::any_of(places.begin(), places.end(), [&](const auto &p) { return p.place == peak.place_mm; })) << peak.part;
    }
}

TEST(Refine, IsRefusedWithoutAConstruct)
{
  const ProgramRun run = run_program("run scenarios/large_dog.yaml --refine --only joint");
  EXPECT_EQ(run.exit_code, 2) << run.output;
}

// Requirement: the closing lines name the largest change; hand calculation: 220 / 200 is 10 %.
TEST(Refine, TellsTheLargestChange)
{
  Refinement r;
  r.activity = "walk";
  r.peaks    = {{"plate", false, 200, 220, {}, {}, 4, 3}, {"plate", true, 400, 700, {}, {}, 40, 50}, {"screw_1", false, 100, 99, {}, {}, 5, 4}};
  const std::string text = refine_text(r);
  EXPECT_NE(text.find("Largest change 10.0 % (plate)"), std::string::npos) << text;
  expect_narrow(text);
  // What is written is what is read; another fingerprint is not taken up.
  Refinement back;
  EXPECT_TRUE(read_refinement(refinement_text(r, "a"), "a", back));
  EXPECT_EQ(refine_csv(back), refine_csv(r));
  EXPECT_FALSE(read_refinement(refinement_text(r, "a"), "b", back));
}

// Requirement (issue 6): peaks at excluded lines are named: the largest of each part, with the peak that is used instead.
TEST(ExcludedPeaks, AreNamedWithThePeakThatIsUsed)
{
  SlopeResult slope;
  slope.operated     = true;
  slope.achieved_deg = 6;
  for (const double mpa : {9000.0, 8000.0})
  {
    StateRow state;
    state.activity    = mpa > 8500 ? "trot" : "walk";
    state.state.peaks = {{"plate", 230, Vector3::Zero(), 5, false, 0.001, 0}, {"plate", mpa, Vector3::Zero(), 5, true, 0.001, 0},
                         {"screw_1", 100, Vector3::Zero(), 5, false, 0.001, 0}};
    slope.states.push_back(state);
  }
  const auto named = excluded_peaks({slope});
  ASSERT_EQ(named.size(), 1u);
  EXPECT_EQ(named[0].part, "plate");
  EXPECT_EQ(named[0].activity, "trot");
  EXPECT_EQ(named[0].mpa, 9000);
  EXPECT_EQ(named[0].kept_mpa, 230);
  const std::string text = excluded_text({slope});
  EXPECT_NE(text.find("9000"), std::string::npos) << text;
  expect_narrow(text);
  EXPECT_EQ(excluded_text({}), "");
}
