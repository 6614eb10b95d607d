#include "models/core/scenario.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/parameter_list.h"
#include "models/parts/anatomy.h"
#include "tests/models/core/temporary.h"
#include <algorithm>
#include <gtest/gtest.h>
#include <random>
#include <set>

using namespace stifle;

namespace
{
std::vector<std::string> values_of(Scenario scenario)
{
  std::vector<std::string> values;
  for (const DeclaredKey &key : declared_keys(scenario))
    values.push_back(key.path() + " = " + value_text(key.value));
  return values;
}

/// A random value inside the declared range; combinations are chosen so that they can be.
class Randomiser
{
public:
  explicit Randomiser(unsigned seed) : random_(seed) {}
  void fill(const DeclaredKey &key)
  {
    if (const Range *range = std::get_if<Range>(&key.check))
      number(key.value, *range);
    else if (const OneOf *one_of = std::get_if<OneOf>(&key.check))
      word(key.value, *one_of);
    else if (const RangeList *list = std::get_if<RangeList>(&key.check))
      numbers(*std::get<std::vector<double> *>(key.value), *list);
  }
  double between(double low, double high) { return std::uniform_real_distribution<double>(low, high)(random_); }

private:
  void number(const Value &value, const Range &range)
  {
    if (auto *d = std::get_if<double *>(&value))
      **d = between(range.low, range.high);
    if (auto *i = std::get_if<int *>(&value))
      **i = int(between(range.low, range.high));
    if (auto *b = std::get_if<bool *>(&value))
      **b = between(0, 1) < 0.5;
    if (auto *o = std::get_if<std::optional<double> *>(&value))
      **o = between(range.low, range.high);
  }
  void word(const Value &value, const OneOf &one_of)
  {
    if (auto *s = std::get_if<std::string *>(&value))
      **s = one_of.choices[std::size_t(between(0, double(one_of.choices.size())))];
    if (auto *v = std::get_if<std::vector<std::string> *>(&value))
      **v = one_of.choices;
  }
  void numbers(std::vector<double> &values, const RangeList &list)
  {
    values.resize(list.least == list.most ? list.least : 4);
    for (double &value : values)
      value = between(list.low, list.high);
  }
  std::mt19937 random_;
};

Scenario random_scenario(unsigned seed)
{
  Randomiser randomiser(seed);
  Scenario   scenario;
  for (const DeclaredKey &key : declared_keys(scenario))
    randomiser.fill(key);
  scenario.levelling.centre_offset_mm.reset();
  if (scenario.joint.dimension == 2)
  {
    scenario.limb.popliteus_n = 0;
    scenario.repair.kind = {"none", "advancement"}; // no suture in the plane
  }
  scenario.wedge.hinge_distance_mm = 0.4 * scenario.tibia.length_mm;
  if (tendon_problem(scenario))
    scenario.joint.tendon_angle_deg.reset();
  scenario.advancement.spacer_mm.reset();
  for (double &angle : scenario.levelling.plateau_angles_deg)
    angle = randomiser.between(-10, scenario.tibia.plateau_angle_deg);
  scenario.study.sweep_plateau_deg = {-5, 35, randomiser.between(0.2, 2)};
  scenario.study.samples = scenario.study.dog = 0; // of samples, dogs and dog only one may be asked for
  // Four proximal and four distal holes; one word for all, or one for each of them.
  scenario.screws.holes            = {"plain", "none", "locking", "plain", "locking", "locking", "none", "none"};
  scenario.screws.sizes            = {seed % 2 ? "locking_2.7" : "own"};
  scenario.screws.cortices         = {"one", "both", "both", "both", "one", "one", "one", "both"};
  scenario.screws.lengths_mm.assign(seed % 3 ? 8 : 1, randomiser.between(4, 120));
  scenario.plate.bone_contact      = "friction"; // plain screws need it
  scenario.screws.preload_n.assign(seed % 2 ? 8 : 1, randomiser.between(0, 2000));
  scenario.screws.compression_n.assign(1, randomiser.between(0, 400));
  // An outline by widths, or by the two of a plate without them.
  if (seed % 2)
    scenario.plate.widths_mm.clear();
  else
    scenario.plate.width_mm = Scenario().plate.width_mm, scenario.plate.head_width_mm = Scenario().plate.head_width_mm;
  // Without the files they belong to.
  scenario.tibia.surface_landmarks_mm.clear();
  scenario.plate.landmarks_plate_mm.clear();
  scenario.plate.landmarks_bone_mm.clear();
  scenario.rig = RigParameters(); // its keys hang together: tests of their own
  std::sort(scenario.tibia.cancellous_levels_mm.begin(), scenario.tibia.cancellous_levels_mm.end());
  scenario.screws.core_mm          = 0.8 * scenario.screws.major_mm;
  scenario.mesh.detail_size_mm     = 0.9 * scenario.mesh.bone_size_mm < 4 ? 0.9 * scenario.mesh.bone_size_mm : 4;
  std::sort(scenario.healing.weeks.begin(), scenario.healing.weeks.end());
  scenario.healing.diary           = "restricted";
  scenario.healing.limb_use        = "recovery";
  scenario.dog.name                = "it's \"odd\": #" + std::to_string(seed) + " \\ \xc3\xa4 {x}";
  return scenario;
}

Scenario read_text(const std::string &text)
{
  const TemporaryFolder folder;
  return read_scenario(folder.write("scenario.yaml", text));
}
} // namespace

TEST(Scenario, DefaultsAreReadBackFromTheirEcho)
{
  EXPECT_EQ(values_of(read_text(echo_scenario(Scenario()))), values_of(Scenario()));
}

TEST(Scenario, TemplateHoldsTheDefaults)
{
  EXPECT_EQ(values_of(read_text(template_scenario())), values_of(Scenario()));
}

TEST(Scenario, RandomValuesAreReadBackFromTheirEchoToTheLastBit)
{
  for (unsigned seed = 0; seed < 50; ++seed)
  {
    const Scenario written = random_scenario(seed), read = read_text(echo_scenario(written));
    ASSERT_EQ(values_of(read), values_of(written)) << seed;
    ASSERT_EQ(read.tibia.length_mm, written.tibia.length_mm) << seed;
    ASSERT_EQ(read.dog.name, written.dog.name) << seed;
    ASSERT_EQ(read.levelling.plateau_angles_deg, written.levelling.plateau_angles_deg) << seed;
  }
}

TEST(Scenario, ContractExampleIsReadExceptTheThirdDimension)
{
  // Source: design.md "Scenario: the fixed part of the contract", with joint.dimension 2.
  const Scenario s = read_text(R"(
dog:        {mass_kg: 30, limb: right}
tibia:      {length_mm: 200, plateau_angle_deg: 25, tuberosity_width_mm: 10.8, surface: null}
joint:      {dimension: 2, ligament: torn}
loads:      {set: stance}
repair:     {kind: levelling}
levelling:  {plateau_angles_deg: [15, 10, 6, 0], saw_radius_mm: 24}
activities: [stand, walk, trot]
plate:      {width_mm: 11, thickness_mm: 3.3, material: steel_316l_cold_worked, file: null}
healing:    {weeks: [0, 2, 4, 6, 8, 10]}
study:      {stance_percent: [25, 50, 75], sweep_plateau_deg: [-5, 35, 1], samples: 0, seed: 1}
mesh:       {bone_size_mm: 3, detail_size_mm: 0.6}
)");
  EXPECT_EQ(s.joint.ligament, std::vector<std::string>{"torn"});
  EXPECT_EQ(s.levelling.plateau_angles_deg, (std::vector<double>{15, 10, 6, 0}));
  EXPECT_EQ(s.healing.weeks, (std::vector<double>{0, 2, 4, 6, 8, 10}));
  EXPECT_EQ(s.activities, (std::vector<std::string>{"stand", "walk", "trot"}));
  EXPECT_FALSE(s.tibia.surface || s.plate.file);
}

TEST(Scenario, OneValueCountsAsAListOfOne)
{
  const Scenario s =
      read_text("joint: {ligament: intact}\nloads: {set: axial}\nrepair: {kind: none}\nactivities: trot\nhealing: {weeks: 4}\n");
  EXPECT_EQ(s.joint.ligament, std::vector<std::string>{"intact"});
  EXPECT_EQ(s.loads.set, std::vector<std::string>{"axial"});
  EXPECT_EQ(s.repair.kind, std::vector<std::string>{"none"});
  EXPECT_EQ(s.activities, std::vector<std::string>{"trot"});
  EXPECT_EQ(s.healing.weeks, std::vector<double>{4});
}

TEST(Scenario, KeysLeftOutKeepTheirDefaults)
{
  EXPECT_EQ(values_of(read_text("dog:\n  # mass_kg: 12\ntibia: {length_mm: 200}\n")), values_of(Scenario()));
}

TEST(Scenario, NullWidthLetsTheOffsetPlaceTheArc)
{
  const Scenario s = read_text("tibia: {tuberosity_width_mm: null}\nlevelling: {centre_offset_mm: 3}\n");
  EXPECT_FALSE(s.tibia.tuberosity_width_mm);
  EXPECT_EQ(s.levelling.centre_offset_mm, 3);
}

TEST(Scenario, TargetEqualToThePlateauIsAllowed)
{
  EXPECT_NO_THROW(read_text("tibia: {plateau_angle_deg: 15}\n"));
}

TEST(Scenario, WithoutLevellingTheTargetsDoNotMatter)
{
  EXPECT_NO_THROW(read_text("tibia: {plateau_angle_deg: 12}\nrepair: {kind: none}\n"));
}

TEST(Scenario, ActivityTableIsTakenFromTheFolderOfTheScenario)
{
  const TemporaryFolder folder;
  folder.write("table.yaml", read_file(data_file("models/limb/activities.yaml")));
  const Scenario s = read_scenario(folder.write("scenario.yaml", "limb: {activity_table: table.yaml}\n"));
  EXPECT_EQ(s.limb.activity_table, folder.path() + "/table.yaml");
}

TEST(Scenario, EveryKeyHasAUniquePathASourceAndASentence)
{
  Scenario              scenario;
  std::set<std::string> paths;
  for (const DeclaredKey &key : declared_keys(scenario))
  {
    EXPECT_TRUE(paths.insert(key.path()).second) << key.path();
    EXPECT_FALSE(key.source.text.empty()) << key.path();
    ASSERT_FALSE(key.sentence.empty()) << key.path();
    EXPECT_EQ(key.sentence.back(), '.') << key.path();
    EXPECT_NE(describe_keys(key.path()).find(key.sentence), std::string::npos);
  }
  EXPECT_GE(paths.size(), 50u);
}

TEST(Scenario, AssumptionsTellDefaultsFromChoices)
{
  Scenario scenario;
  scenario.healing.friction = 0.3;
  unsigned found            = 0;
  for (const AssumptionRow &row : list_assumptions(scenario))
  {
    if (row.key == "healing.friction")
      found += row.label == "set in the scenario";
    if (row.key == "tibia.plateau_angle_deg")
      found += row.label == "abstract" && row.source.find("VCOT 2013;26:266") != std::string::npos;
  }
  EXPECT_EQ(found, 2u);
}

TEST(Scenario, EchoNamesWhatTheUserSet)
{
  Scenario scenario;
  scenario.plate.width_mm = 12;
  EXPECT_NE(echo_scenario(scenario).find("set in the scenario; default 11"), std::string::npos);
}
