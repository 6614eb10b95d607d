// study.vary and study.dogs: which variants they make, what these are called and what is told when one cannot be.
#include "models/core/study_variants.h"
#include "models/core/files.h"
#include "tests/support/program.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle;

namespace
{
std::string written(const std::string &text)
{
  const std::string file = fresh_folder("study") + "/study.yaml";
  write_file(file, text);
  return file;
}

Study study_of(const std::string &text) { return read_study(written(text)); }

std::vector<InputProblem> problems_of(const std::string &text)
{
  try
  {
    study_of(text);
  }
  catch (const InputError &error)
  {
    return error.problems();
  }
  return {};
}

/// Name of the variant with these values.
std::string name_of(const Study &study, double mass_kg, double plateau_deg, int dog = 0)
{
  const auto names = study.names();
  for (std::size_t i = 0; i < study.size(); ++i)
    if (study.variant(i).dog.mass_kg == mass_kg && study.variant(i).tibia.plateau_angle_deg == plateau_deg && study.dog(i) == dog)
      return names[i];
  return "";
}
} // namespace

TEST(StudyVariants, AreEveryCombinationTheLastKeyFastest)
{
  const Study study = study_of("study:\n  vary:\n    dog.mass_kg: [20, 30, 40]\n    tibia.plateau_angle_deg: [22, 28]\n");
  ASSERT_EQ(study.size(), 6u);
  const double masses[] = {20, 20, 30, 30, 40, 40}, angles[] = {22, 28, 22, 28, 22, 28};
  for (std::size_t i = 0; i < 6; ++i)
  {
    EXPECT_EQ(study.variant(i).dog.mass_kg, masses[i]);
    EXPECT_EQ(study.variant(i).tibia.plateau_angle_deg, angles[i]);
    EXPECT_FALSE(study.variant(i).study.expands()); // a scenario of its own
  }
  EXPECT_EQ(study.keys(), (std::vector<std::string>{"dog.mass_kg", "tibia.plateau_angle_deg"}));
  EXPECT_EQ(study.values(3), (std::vector<std::string>{"30", "28"}));
}

TEST(StudyVariants, ListsWordsAndNullAreValuesToo)
{
  const Study study = study_of("activities: [walk]\nstudy:\n  vary:\n    levelling.plateau_angles_deg: [[6], [10, 5]]\n"
                               "    activities: [walk, [stand, trot]]\n    tibia.tuberosity_width_mm: [10.8, null]\n");
  ASSERT_EQ(study.size(), 8u);
  EXPECT_EQ(study.variant(7).levelling.plateau_angles_deg, (std::vector<double>{10, 5}));
  EXPECT_EQ(study.variant(7).activities, (std::vector<std::string>{"stand", "trot"}));
  EXPECT_FALSE(study.variant(7).tibia.tuberosity_width_mm);
  EXPECT_EQ(study.variant(0).activities, (std::vector<std::string>{"walk"}));
}

TEST(StudyVariants, DrawnDogsMultiplyEveryCombination)
{
  const Study study = study_of("study:\n  dogs: 3\n  vary: {dog.mass_kg: [20, 30]}\n");
  ASSERT_EQ(study.size(), 6u);
  EXPECT_EQ(study.variant(4).dog.mass_kg, 30);
  EXPECT_EQ(study.variant(4).study.dog, 2);
  EXPECT_EQ(study.keys().back(), "study.dog");
  EXPECT_EQ(study.values(4).back(), "2");
}

TEST(StudyVariants, SameValuesHaveTheSameNameWhateverElseIsAsked)
{
  const Study first = study_of("study:\n  vary: {dog.mass_kg: [20, 30], tibia.plateau_angle_deg: [22, 28]}\n");
  // Another order of keys, more values, a key that varies over its default alone, drawn dogs beside, values written otherwise.
  const Study other = study_of("study:\n  vary: {tibia.plateau_angle_deg: [28.0, 21, 22], mesh.bone_size_mm: [3], dog.mass_kg: [25, 3e1, 20]}\n");
  const Study plain = study_of("dog: {mass_kg: 30}\ntibia: {plateau_angle_deg: 28}\n");
  for (const double mass : {20, 30})
    for (const double angle : {22, 28})
    {
      EXPECT_NE(name_of(first, mass, angle), "");
      EXPECT_EQ(name_of(first, mass, angle), name_of(other, mass, angle));
    }
  EXPECT_EQ(plain.names().at(0), name_of(first, 30, 28));
  const Study few = study_of("study: {dogs: 2}\n"), many = study_of("study: {dogs: 50}\n");
  EXPECT_EQ(name_of(few, 30, 25, 2), name_of(many, 30, 25, 2));
}

TEST(StudyVariants, EveryOtherValueHasAnotherName)
{
  std::set<std::string> names;
  std::size_t           expected = 0;
  for (const std::string text : {"study:\n  vary: {dog.mass_kg: [20, 30]}\n", "mesh: {bone_size_mm: 4}\nstudy:\n  vary: {dog.mass_kg: [20, 30]}\n",
                                 "study:\n  dogs: 2\n", "study:\n  dogs: 2\n  seed: 2\n", "dog: {name: rex}\n"})
  {
    const Study study = study_of(text);
    for (const std::string &name : study.names())
    {
      names.insert(name);
      EXPECT_EQ(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789._+-"), std::string::npos) << name;
    }
    expected += study.size();
  }
  EXPECT_EQ(names.size(), expected);
}

TEST(StudyVariants, BadValueIsToldAtItsPlaceInVaryOnce)
{
  const auto problems = problems_of("study:\n  vary:\n    dog.mass_kg: [20, 30]\n    tibia.plateau_angle_deg: [22, 280]\n");
  ASSERT_EQ(problems.size(), 1u); // of two variants
  EXPECT_EQ(problems[0].line, 4);
  EXPECT_NE(problems[0].message.find("tibia.plateau_angle_deg"), std::string::npos);
  EXPECT_EQ(problems[0].found, "280");
}

TEST(StudyVariants, CombinationThatCannotBeSaysWhichVariantAndStandsInVary)
{
  const auto problems = problems_of("levelling: {plateau_angles_deg: [20]}\nstudy:\n  vary:\n    tibia.plateau_angle_deg: [25, 15]\n");
  ASSERT_EQ(problems.size(), 1u);
  EXPECT_EQ(problems[0].line, 4);
  EXPECT_NE(problems[0].message.find("with tibia.plateau_angle_deg 15"), std::string::npos) << problems[0].message;
}

TEST(StudyVariants, UnusableStudyIsRefusedWithPlaceAndNearestKey)
{
  const auto unknown = problems_of("study:\n  vary:\n    dog.mas_kg: [20]\n");
  ASSERT_EQ(unknown.size(), 1u);
  EXPECT_EQ(unknown[0].line, 3);
  EXPECT_EQ(unknown[0].nearest, "dog.mass_kg");
  for (const std::string text :
       {"study: {vary: 3}\n", "study: {vary: [dog.mass_kg]}\n", "study:\n  vary: {dog.mass_kg: 20}\n", "study:\n  vary: {dog.mass_kg: []}\n",
        "study:\n  vary: {dog.mass_kg: [20, 20]}\n", "study:\n  vary: {dog.mass_kg: [{a: 1}]}\n", "study:\n  vary: {study.dogs: [1, 2]}\n",
        "study:\n  vary: {study.vary: [1]}\n", "study: {dogs: -1}\n", "study: {dogs: 2, dog: 1}\n", "study: {dogs: 2, samples: 8}\n",
        "study: {dog: 2, samples: 8}\n", "study: {dogs: 2}\nrig: {kind: axial}\n", "study:\n  vary: {dog.mass_kg: [20], dog.mass_kg: [30]}\n"})
  {
    const auto problems = problems_of(text);
    ASSERT_FALSE(problems.empty()) << text;
    EXPECT_GT(problems[0].line, 0) << text;
  }
}

TEST(StudyVariants, TooManyCombinationsAreRefused)
{
  std::string list = "[1";
  for (int i = 2; i <= 101; ++i)
    list += ", " + std::to_string(i);
  EXPECT_FALSE(problems_of("study:\n  vary: {study.seed: " + list + "], limb.hamstrings_n: " + list + "]}\n").empty());
}

TEST(StudyVariants, EchoOfTheStudyReadsBackToTheSameStudy)
{
  const Study study = study_of("study:\n  dogs: 2\n  vary: {dog.name: [\"a, b: c\", rex], levelling.plateau_angles_deg: [[6], [10, 5]]}\n");
  const Study again = study_of(echo_scenario(study.scenario));
  EXPECT_EQ(again.names(), study.names());
  EXPECT_EQ(again.variant(0).dog.name, "a, b: c");
}

TEST(StudyVariants, EchoOfAVariantIsThatVariant)
{
  const Study study = study_of("study:\n  dogs: 2\n  vary: {dog.mass_kg: [20, 30]}\n");
  const Study alone = study_of(echo_scenario(study.variant(3)));
  ASSERT_EQ(alone.size(), 1u);
  EXPECT_EQ(alone.names().at(0), study.names().at(3));
}
