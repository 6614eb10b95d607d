// Bands of margins without a mesh: the state that is "solved again" is a plain rule, so every band is a hand calculation.
#include "models/core/error.h"
#include "models/margins/yield.h"
#include "scenarios/app/margin_bands.h"
#include "scenarios/app/margin_rows.h"
#include "scenarios/app/collapse_run.h"
#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::app;

namespace
{
constexpr int draws = 64;

/// Levelled, one activity, `weeks` x 3 instants; plate at 100 MPa and more by state, screw_1's shaft at twice that.
SlopeResult slope_of(const std::vector<double> &weeks)
{
  SlopeResult slope;
  slope.operated   = true;
  slope.target_deg = 6;
  for (const double week : weeks)
    for (const double percent : {25.0, 50.0, 75.0})
    {
      StateRow     row;
      const double mpa = 100 + 10 * static_cast<double>(slope.states.size());
      row.week     = week;
      row.activity = "trot";
      row.percent  = percent;
      row.state.peaks = {{"plate", mpa, Vector3(1, 2, 3), 5, false, 0.001, 0}};
      row.state.peaks[0].principal_mpa = 2 * mpa;
      row.state.shafts                 = {{"screw_1", 2 * mpa, 3 * mpa, 0, 0.5, Vector3(0, 0, 0)}};
      slope.states.push_back(row);
    }
  return slope;
}

/// A single input of that law; the drawn value travels as the observer error of the dog.
std::vector<UncertainInput> factor(const Distribution &law)
{
  return {{"factor", "", law, Label::assumption, "test", [](SampledDog &dog, double v) { dog.observer_error_deg = v; }}};
}

/// The linear construct: every stress times the drawn value.
StateRow scaled(const SampledDog &dog, const StateRow &nominal)
{
  StateRow row = nominal;
  for (PartPeak &peak : row.state.peaks)
  {
    peak.von_mises_mpa *= dog.observer_error_deg;
    peak.principal_mpa *= dog.observer_error_deg;
  }
  for (ScrewShaft &shaft : row.state.shafts)
  {
    shaft.von_mises_mpa *= dog.observer_error_deg;
    shaft.principal_mpa *= dog.observer_error_deg;
  }
  return row;
}

Scenario study(int seed = 1)
{
  Scenario s;
  s.study.samples = draws;
  s.study.seed    = seed;
  return s;
}

std::vector<MarginBand> bands_of(const SlopeResult &slope, const std::vector<UncertainInput> &inputs, int seed = 1,
                                 const SolveDrawn &solve = scaled)
{
  return sample_margins(study(seed), slope, margin_draws(study(seed), {}, &inputs), solve);
}

const MarginBand &band(const std::vector<MarginBand> &bands, const std::string &mode, std::optional<double> percent)
{
  for (const MarginBand &b : bands)
    if (b.mode == mode && b.percent == percent)
      return b;
  throw std::runtime_error("no band " + mode);
}
} // namespace

// Requirement: without spread the band is the margin.
TEST(MarginBands, CloseOnTheMarginWithoutSpread)
{
  SlopeResult slope = slope_of({0, 2});
  slope.bands       = bands_of(slope, factor(Distribution::uniform(1, 1)));
  int banded        = 0;
  for (const MarginRow &row : margin_rows(study(), slope))
    if (row.margin)
    {
      ASSERT_TRUE(row.low && row.high) << row.mode;
      EXPECT_NEAR(*row.low, *row.margin, 1e-12 * *row.margin);
      EXPECT_NEAR(*row.high, *row.margin, 1e-12 * *row.margin);
      ++banded;
    }
  EXPECT_EQ(banded, 6); // yield and shaft of two weeks, fatigue of plate and shaft
}

// Requirement: in a linear construct a load drawn evenly from 0.8 to 1.2 gives margin / 1.18 and margin / 0.82 (5 and 95 %). 64 points of
// a net lie one in each slice of 0.4 / 64, so the quantile of the load is known to that.
TEST(MarginBands, FollowTheLoadInALinearConstruct)
{
  const SlopeResult slope = slope_of({0});
  const auto        bands = bands_of(slope, factor(Distribution::uniform(0.8, 1.2)));
  const double      slice = 0.4 / draws;
  for (const double percent : {25.0, 50.0, 75.0})
  {
    const double      mpa = 100 + 10 * (percent / 25 - 1);
    const MarginBand &b   = band(bands, "yield", percent);
    ASSERT_TRUE(b.low && b.high);
    EXPECT_NEAR(690 / mpa / *b.low, 1.18, slice);
    EXPECT_NEAR(690 / mpa / *b.high, 0.82, slice);
    EXPECT_NEAR(*band(bands, "shaft_yield", percent).low, *b.low / 2, 1e-9);
    EXPECT_EQ(b.samples, 64u);
    EXPECT_EQ(b.failed, 0u);
  }
}

// Requirement: strengths alone spread the margin by their own law: log-normal of 5 % for steel. 5 and 95 % of the normal cut at 2.5 SD
// lie at -+1.593 (by hand: Phi^-1(0.00621 + 0.05 * 0.98758) = Phi^-1(0.05559) = -1.593).
TEST(MarginBands, FollowTheStrengthAlone)
{
  std::vector<UncertainInput> inputs = factor(Distribution::normal(0, 1));
  inputs[0].apply = [](SampledDog &dog, double v)
  {
    dog.observer_error_deg = 1;
    dog.strengths.plate    = v;
  };
  const auto        bands = bands_of(slope_of({0}), inputs);
  const MarginBand &plate = band(bands, "yield", 25), &shaft = band(bands, "shaft_yield", 25);
  const double      s = std::sqrt(std::log(1.0025));
  EXPECT_NEAR(std::log(*plate.low / 6.9) / s, -1.593, 0.1); // 64 points
  EXPECT_NEAR(std::log(*plate.high / 6.9) / s, 1.593, 0.1);
  EXPECT_NEAR(*shaft.low, 690.0 / 200, 1e-12); // the screws' strength was not drawn
}

// Requirement: the same seed gives the same digits, another seed others.
TEST(MarginBands, AreAFunctionOfTheSeed)
{
  const SlopeResult slope = slope_of({0, 2});
  const auto inputs = factor(Distribution::normal(1, 0.1));
  const auto a = bands_of(slope, inputs), b = bands_of(slope, inputs), c = bands_of(slope, inputs, 2);
  ASSERT_EQ(a.size(), b.size());
  bool differs = false;
  for (std::size_t i = 0; i < a.size(); ++i)
  {
    EXPECT_EQ(*a[i].low, *b[i].low);
    EXPECT_EQ(*a[i].high, *b[i].high);
    differs |= *a[i].low != *c[i].low;
  }
  EXPECT_TRUE(differs);
}

// Requirement (design, Truth): the ten states of least margin. The stress rises from state to state, so these are the last ten, the
// worst first; a copy is not solved again but has the band of what it copies.
TEST(MarginBands, BelongToTheTenWorstStates)
{
  SlopeResult slope = slope_of({0, 1, 2, 3});
  EXPECT_EQ(least_states(study(), slope), (std::vector<std::size_t>{11, 10, 9, 8, 7, 6, 5, 4, 3, 2}));
  slope.states[0]         = slope.states[11]; // week 0, 25 %: the same as the worst one
  slope.states[0].week    = 0;
  slope.states[0].percent = 25;
  slope.states[0].copy_of = 11;
  EXPECT_EQ(least_states(study(), slope).front(), 11u);
  std::size_t solved = 0;
  const auto  bands  = bands_of(slope, factor(Distribution::uniform(0.8, 1.2)), 1,
                                [&](const SampledDog &dog, const StateRow &row) { ++solved; return scaled(dog, row); });
  EXPECT_EQ(solved, 10u * draws);
  const auto yields = std::count_if(bands.begin(), bands.end(), [](const MarginBand &b) { return b.mode == "yield"; });
  EXPECT_EQ(yields, 11);
  const auto copy = std::find_if(bands.begin(), bands.end(), [](const MarginBand &b) { return b.week == 0 && b.mode == "yield"; });
  ASSERT_NE(copy, bands.end());
  EXPECT_EQ(copy->low, band(bands, "yield", 75).low);
}

// Requirement: fatigue is banded too. A load alone: the usage at 5 and 95 % is that of the whole race at 0.82 and 1.18 of the stress,
// also for the two states of twelve that are not solved again.
TEST(MarginBands, RunTheRaceForEveryDraw)
{
  const SlopeResult slope = slope_of({0, 1, 2, 3});
  const auto        bands = bands_of(slope, factor(Distribution::uniform(0.8, 1.2)));
  const auto        margin_at = [&](double load)
  {
    SlopeResult s = slope;
    for (StateRow &row : s.states)
      row = scaled({{}, {}, {}, load, 0, {}}, row);
    for (const MarginRow &row : margin_rows(study(), s))
      if (row.mode == "fatigue")
        return *row.margin;
    return 0.0;
  };
  const double      slice = 0.4 / draws;
  const MarginBand &b     = band(bands, "fatigue", std::nullopt);
  EXPECT_LT(*b.low, margin_at(1.18 - slice));
  EXPECT_GT(*b.low, margin_at(1.18 + slice));
  EXPECT_LT(*b.high, margin_at(0.82 - slice));
  EXPECT_GT(*b.high, margin_at(0.82 + slice));
  EXPECT_TRUE(band(bands, "shaft_fatigue", std::nullopt).low);
}

// Requirement: draws that fail are counted with their reason; up to 5 % the band stays, above it is left empty.
TEST(MarginBands, CountWhatFails)
{
  for (const int bad : {3, 4}) // of 64: 4.7 and 6.25 %
  {
    int        n     = 0;
    const auto bands = bands_of(slope_of({0}), factor(Distribution::uniform(0.8, 1.2)), 1,
                                [&](const SampledDog &dog, const StateRow &row)
                                {
                                  if (n++ % draws < bad)
                                    throw Error("the joint did not converge");
                                  return scaled(dog, row);
                                });
    const MarginBand &b = band(bands, "yield", 50);
    EXPECT_EQ(b.failed, static_cast<std::size_t>(bad));
    EXPECT_EQ(b.reason, "the joint did not converge");
    EXPECT_EQ(b.low.has_value(), bad == 3);
    EXPECT_NE(bands_sentence(bands).find("the joint did not converge"), std::string::npos);
  }
}

// Requirement: a draw that does not load a part has no finite margin; where 5 % or more are like that there is no upper end, and the
// lower end stays.
TEST(MarginBands, HaveNoUpperEndWhereTheLoadVanishes)
{
  const auto bands = bands_of(slope_of({0}), factor(Distribution::uniform(-1, 1)), 1,
                              [](SampledDog dog, const StateRow &row)
                              {
                                dog.observer_error_deg = std::max(0.0, dog.observer_error_deg);
                                return scaled(dog, row);
                              });
  EXPECT_TRUE(band(bands, "yield", 25).low);
  EXPECT_FALSE(band(bands, "yield", 25).high);
}

// Requirement: bands and collapse are part of what a finished slope leaves for taking up a run.
TEST(MarginBands, AreTakenUpWithTheSlope)
{
  SlopeResult slope = slope_of({0, 2});
  slope.bands       = bands_of(slope, factor(Distribution::uniform(0.8, 1.2)));
  slope.collapse    = Collapse{2, "trot", 50, 0.75, 3.3, 0, 3.84, false, ""};
  slope.states[1].copy_of = 0;
  SlopeResult again;
  ASSERT_TRUE(read_slope_text(slope_text(slope, "f"), "f", again));
  EXPECT_EQ(slope_text(again, "f"), slope_text(slope, "f"));
  ASSERT_TRUE(again.collapse);
  EXPECT_EQ(again.bands.size(), slope.bands.size());
  EXPECT_EQ(again.states[1].copy_of, 0);
  EXPECT_EQ(again.states[0].state.shafts.at(0).principal_mpa, 300);
}

// Requirement: the collapse is the first of metal broken, bone broken, no equilibrium; where none is met the load reached stands as "at
// least". First yield stands beside it.
TEST(CollapseMargins, TakeWhatBreaksFirst)
{
  const auto capacity = [](const Collapse &c)
  {
    const auto all = collapse_margins(c);
    EXPECT_EQ(all.at(0).mode, "first_yield");
    EXPECT_EQ(all.at(0).capacity, 0.75);
    return all.at(1);
  };
  Collapse c;
  c.first_yield = 0.75;
  c.reached     = 4;
  EXPECT_EQ(capacity(c).capacity, 4);
  EXPECT_NE(capacity(c).source.find("at least"), std::string::npos);
  c.fracture = 3.3;
  EXPECT_EQ(capacity(c).capacity, 3.3);
  EXPECT_EQ(capacity(c).source.find("at least"), std::string::npos);
  c.bone_limit = 2.2;
  EXPECT_EQ(capacity(c).capacity, 2.2);
  c.bone_limit = c.fracture = 0;
  c.no_equilibrium = true;
  EXPECT_EQ(capacity(c).capacity, 4);
  EXPECT_NE(capacity(c).source.find("no equilibrium beyond 4"), std::string::npos);
  c = Collapse(); // nothing was reached: no row is better than a wrong one
  EXPECT_TRUE(collapse_margins(c).empty());
}
