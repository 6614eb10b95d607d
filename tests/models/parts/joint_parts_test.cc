// Requirements of the reader of joint parts: faults are named, never computed with; a copy gives the same joint; scaling.
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/parts/anatomy.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <random>
#include <unistd.h>

using namespace stifle;

namespace
{
std::string shipped() { return read_file(data_file("models/parts/joint_parts.yaml")); }

/// A folder of its own, gone at the end. Every file gets a new name: the reader keeps what it read by name.
class Folder
{
public:
  Folder() : path_(std::filesystem::temp_directory_path() / ("joint_parts_" + std::to_string(getpid())))
  {
    std::filesystem::create_directories(path_);
  }
  ~Folder()
  {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  Scenario with(const std::string &text)
  {
    static int count = 0;
    Scenario s;
    s.joint.landmarks = (path_ / ("parts" + std::to_string(++count) + ".yaml")).string();
    write_file(*s.joint.landmarks, text);
    return s;
  }

private:
  std::filesystem::path path_;
};

std::string replaced(std::string text, const std::string &what, const std::string &with)
{
  const std::size_t at = text.find(what);
  EXPECT_NE(at, std::string::npos) << what;
  return at == std::string::npos ? text : text.replace(at, what.size(), with);
}

/// The problems of a file; empty when it was taken.
std::vector<InputProblem> problems_of(const std::string &text)
{
  Folder folder;
  try
  {
    make_joint_parts(folder.with(text));
  }
  catch (const InputError &error)
  {
    return error.problems();
  }
  return {};
}
void expect_problem(const std::string &text, const std::string &in_message, const std::string &nearest = "")
{
  const std::vector<InputProblem> found = problems_of(text);
  ASSERT_FALSE(found.empty()) << in_message;
  bool named = false;
  for (const InputProblem &p : found)
  {
    EXPECT_FALSE(p.file.empty());
    named = named || (p.message.find(in_message) != std::string::npos && (nearest.empty() || p.nearest == nearest));
  }
  EXPECT_TRUE(named) << in_message << " / " << nearest << "; first problem: " << found[0].message << " nearest "
                     << found[0].nearest;
}

bool finite(const JointParts &p)
{
  double sum = p.patella_contact_area_mm2 + p.reference_indentation_mm + p.reference_stifle_rad + p.popliteus_femur.sum() +
               p.popliteus_tibia.sum();
  for (int side : {medial, lateral})
    sum += p.condyles[side].centre.sum() + p.condyles[side].sagittal_radius_mm + p.condyles[side].coronal_radius_mm +
           p.plateaus[side].sagittal_radius_mm + p.plateaus[side].coronal_curvature_per_mm + p.menisci[side].section_mm2 +
           p.menisci[side].hoop_modulus_mpa + p.fabella[side].sum();
  for (const Bundle &b : p.bundles)
    sum += b.tibia.sum() + b.femur.sum() + b.stiffness_n_per_mm + b.reference_strain + b.toe_strain;
  return std::isfinite(sum);
}

void expect_same(const JointParts &a, const JointParts &b)
{
  ASSERT_EQ(a.bundles.size(), b.bundles.size());
  for (std::size_t i = 0; i < a.bundles.size(); ++i)
  {
    EXPECT_EQ(a.bundles[i].name, b.bundles[i].name);
    EXPECT_EQ((a.bundles[i].tibia - b.bundles[i].tibia).norm() + (a.bundles[i].femur - b.bundles[i].femur).norm(), 0);
    EXPECT_EQ(a.bundles[i].stiffness_n_per_mm, b.bundles[i].stiffness_n_per_mm);
  }
  for (int side : {medial, lateral})
  {
    EXPECT_EQ(a.condyles[side].sagittal_radius_mm, b.condyles[side].sagittal_radius_mm);
    EXPECT_EQ(a.plateaus[side].sagittal_radius_mm, b.plateaus[side].sagittal_radius_mm);
    EXPECT_EQ(a.menisci[side].hoop_modulus_mpa, b.menisci[side].hoop_modulus_mpa);
  }
}
} // namespace

// Requirement: the shipped file is taken; every entry has a known label and a source.
TEST(JointParts, EveryEntryCarriesLabelAndSource)
{
  const std::vector<AssumptionRow> rows = joint_part_sources(Scenario());
  const JointParts parts = make_joint_parts(Scenario());
  EXPECT_TRUE(finite(parts));
  // reference, patella, 2 condyles, 2 plateaus, 2 menisci, 3 muscles, every bundle
  EXPECT_EQ(rows.size(), 11 + parts.bundles.size());
  for (const AssumptionRow &row : rows)
  {
    EXPECT_EQ(row.key.rfind("joint_parts.", 0), 0u);
    EXPECT_FALSE(row.source.empty()) << row.key;
  }
}

// Requirement: a copy of the file named by joint.landmarks gives the same joint.
TEST(JointParts, ACopyGivesTheSameJoint)
{
  Folder folder;
  expect_same(make_joint_parts(folder.with(shipped())), make_joint_parts(Scenario()));
}

// Requirement: a changed number arrives, and only there.
TEST(JointParts, AChangedNumberArrives)
{
  Folder folder;
  const JointParts before = make_joint_parts(Scenario());
  const JointParts after = make_joint_parts(folder.with(replaced(shipped(), "contact_area_mm2: 60", "contact_area_mm2: 61.5")));
  EXPECT_EQ(after.patella_contact_area_mm2, 61.5);
  expect_same(before, after);
}

// Requirement: a missing section or key is named, at every level. The whole file may even be another one.
TEST(JointParts, NamesWhatIsMissing)
{
  for (const std::string section : {"reference", "condyles", "plateaus", "menisci", "bundles", "muscles", "patella"})
  {
    std::string text = shipped(), line = "\n" + section + ":";
    const std::size_t start = text.find(line) + 1;
    std::size_t end = text.find('\n', start);
    while (end + 1 < text.size() && text[end + 1] == ' ')
      end = text.find('\n', end + 1);
    expect_problem(text.erase(start, end + 1 - start), "missing key '" + section + "'");
  }
  expect_problem(replaced(shipped(), "indentation_mm: 0.2", ""), "missing key 'indentation_mm'");
  expect_problem(replaced(shipped(), "toe_strain: 0.03, ", ""), "missing key 'toe_strain'");
  expect_problem(replaced(shipped(), "fabella_lateral:", "#"), "missing key 'fabella_lateral'");
  expect_problem(replaced(shipped(), "hoop_modulus_mpa: 100, ", ""), "missing key 'hoop_modulus_mpa'");
  expect_problem("walk: {label: read}\n", "missing key 'reference'");
  expect_problem("just words\n", "must be a mapping");
  expect_problem("", "");
}

// Requirement: a mistyped key or word names its nearest.
TEST(JointParts, NamesTheNearestWord)
{
  expect_problem(replaced(shipped(), "condyles:", "condyls:"), "unknown key 'condyls'", "condyles");
  expect_problem(replaced(shipped(), "hoop_modulus_mpa", "hoop_modulus_mp"), "unknown key 'hoop_modulus_mp'", "hoop_modulus_mpa");
  expect_problem(replaced(shipped(), "reference_strain", "referense_strain"), "unknown key 'referense_strain'",
                 "reference_strain");
  expect_problem(replaced(shipped(), "group: cruciate_cranial", "group: cruciate_cranal"), "group", "cruciate_cranial");
  expect_problem(replaced(shipped(), "label: abstract", "label: abstrakt"), "label", "abstract");
  expect_problem(replaced(shipped(), "popliteus:", "popliteu:"), "unknown key 'popliteu'", "popliteus");
}

// Requirement: numbers that are none, or beyond any dog, are refused with their key.
TEST(JointParts, RefusesAbsurdNumbers)
{
  for (const std::string number : {".nan", "nan", ".inf", "-.inf", "1e400", "\"0.2\"", "0x1p3", "true", "[1]", "-3", "1e9", ""})
    expect_problem(replaced(shipped(), "indentation_mm: 0.2", "indentation_mm: " + number), "reference.indentation_mm");
  expect_problem(replaced(shipped(), "stiffness_n_per_mm: 100", "stiffness_n_per_mm: -100"), "stiffness_n_per_mm");
  expect_problem(replaced(shipped(), "coronal_radius_mm: 9", "coronal_radius_mm: 13"), "below the sagittal radius");
  expect_problem(replaced(shipped(), "sagittal_radius_mm: 13", "sagittal_radius_mm: 0"), "condyles.medial.sagittal_radius_mm");
  expect_problem(replaced(shipped(), "tibia: [8, 1, 2.2]", "tibia: [8, 1]"), "tibia");
  expect_problem(replaced(shipped(), "tibia: [8, 1, 2.2]", "tibia: [8, .nan, 2.2]"), "tibia");
  expect_problem(replaced(shipped(), "tibia: [8, 1, 2.2]", "tibia: 8"), "tibia");
  expect_problem(replaced(shipped(), "on_plateau: true", "on_plateau: maybe"), "on_plateau");
  expect_problem(replaced(shipped(), "source: \"as medial\"", "source: \"\""), "source");
  expect_problem("bundles: {}\n" + replaced(shipped(), "bundles:", "more:"), "bundles");
}

// Requirement: a file that is not there is an input error.
TEST(JointParts, RefusesAMissingFile)
{
  Scenario s;
  s.joint.landmarks = "/nowhere/parts.yaml";
  EXPECT_THROW(make_joint_parts(s), InputError);
}

// Requirement: damaged copies (bytes changed, removed, repeated; the file cut anywhere; lines moved) are refused with an
// InputError or give finite parts. Never another exception, a crash or a hang.
TEST(JointParts, SurvivesDamagedFiles)
{
  Folder folder;
  const std::string whole = shipped();
  std::mt19937 random(7);
  const auto up_to = [&random](std::size_t n) { return std::size_t(random() % n); };
  static const char bytes[] = "\0\n\t :{}[],#&*!|>'\"%@`-+.0123456789eE\x80\xff\xc3xn";
  int refused = 0, taken = 0;
  for (int i = 0; i < 2400; ++i)
  {
    std::string text = whole;
    for (std::size_t edits = 1 + up_to(4); edits > 0 && !text.empty(); --edits)
    {
      const std::size_t at = up_to(text.size()), length = 1 + up_to(40);
      switch (up_to(5))
      {
      case 0:
        text[at] = bytes[up_to(sizeof(bytes) - 1)];
        break;
      case 1:
        text.erase(at, length);
        break;
      case 2:
        text.insert(at, text.substr(up_to(text.size()), length));
        break;
      case 3:
        text[at] = static_cast<char>(random());
        break;
      default:
        if (i % 4 == 0)
          text.resize(at);
      }
    }
    try
    {
      const JointParts parts = make_joint_parts(folder.with(text));
      EXPECT_TRUE(finite(parts)) << "case " << i;
      EXPECT_FALSE(parts.bundles.empty());
      ++taken;
    }
    catch (const InputError &error)
    {
      EXPECT_FALSE(error.problems().empty());
      ++refused;
    }
  }
  EXPECT_GT(refused, 500);
  EXPECT_GT(taken, 50); // edits of sources and comments do no harm
}

// Requirement: numbers within their ranges, whole lines taken out or swapped, do no harm either.
TEST(JointParts, SurvivesMissingAndSwappedLines)
{
  Folder folder;
  std::vector<std::string> lines;
  std::string text = shipped();
  for (std::size_t at = 0; at < text.size();)
  {
    const std::size_t end = text.find('\n', at);
    lines.push_back(text.substr(at, end - at));
    at = end == std::string::npos ? text.size() : end + 1;
  }
  std::mt19937 random(11);
  for (int i = 0; i < 300; ++i)
  {
    std::vector<std::string> some = lines;
    if (i % 2 == 0)
      some.erase(some.begin() + random() % some.size());
    else
      std::swap(some[random() % some.size()], some[random() % some.size()]);
    std::string all;
    for (const std::string &line : some)
      all += line + "\n";
    try
    {
      EXPECT_TRUE(finite(make_joint_parts(folder.with(all))));
    }
    catch (const InputError &)
    {
    }
  }
}

// Requirement: geometric similarity. A tibia of twice the length has twice every length, half of every curvature, four times
// every area; a stiffness in N/mm doubles (modulus * area / length); strains, angles and moduli stay.
TEST(JointParts, ScaleWithTheTibia)
{
  Scenario small, large;
  large.tibia.length_mm = 2 * small.tibia.length_mm;
  const JointParts a = make_joint_parts(small), b = make_joint_parts(large);
  const auto doubled = [](double x, double y) { EXPECT_NEAR(y, 2 * x, 1e-12 * std::abs(x)); };
  for (int side : {medial, lateral})
  {
    EXPECT_NEAR((b.condyles[side].centre - 2 * a.condyles[side].centre).norm(), 0, 1e-12);
    doubled(a.condyles[side].sagittal_radius_mm, b.condyles[side].sagittal_radius_mm);
    doubled(a.condyles[side].coronal_radius_mm, b.condyles[side].coronal_radius_mm);
    doubled(a.plateaus[side].sagittal_radius_mm, b.plateaus[side].sagittal_radius_mm);
    doubled(a.plateaus[side].half_length_mm, b.plateaus[side].half_length_mm);
    doubled(a.plateaus[side].offset_mm, b.plateaus[side].offset_mm);
    EXPECT_NEAR(b.plateaus[side].coronal_curvature_per_mm, a.plateaus[side].coronal_curvature_per_mm / 2, 1e-15);
    doubled(a.menisci[side].radius_s_mm, b.menisci[side].radius_s_mm);
    doubled(a.menisci[side].thickness_mm, b.menisci[side].thickness_mm);
    doubled(a.menisci[side].horn_stiffness_n_per_mm, b.menisci[side].horn_stiffness_n_per_mm);
    EXPECT_NEAR(b.menisci[side].section_mm2, 4 * a.menisci[side].section_mm2, 1e-12);
    EXPECT_EQ(a.menisci[side].hoop_modulus_mpa, b.menisci[side].hoop_modulus_mpa);
    EXPECT_EQ(a.menisci[side].opening_deg, b.menisci[side].opening_deg);
  }
  EXPECT_NEAR(b.patella_contact_area_mm2, 4 * a.patella_contact_area_mm2, 1e-12);
  const Anatomy rest_a = make_anatomy(small), rest_b = make_anatomy(large);
  for (std::size_t i = 0; i < a.bundles.size(); ++i)
  {
    EXPECT_NEAR((b.bundles[i].tibia - 2 * a.bundles[i].tibia).norm() + (b.bundles[i].femur - 2 * a.bundles[i].femur).norm(), 0,
                1e-12);
    doubled(a.bundles[i].stiffness_n_per_mm, b.bundles[i].stiffness_n_per_mm);
    doubled(rest_a.joint.bundles[i].rest_mm, rest_b.joint.bundles[i].rest_mm);
    EXPECT_EQ(a.bundles[i].toe_strain, b.bundles[i].toe_strain);
  }
}

// Requirement: a native plateau angle other than that of the measures turns exactly the tibial ends on the plateau, about the
// intercondylar point.
TEST(JointParts, PlateauAngleTurnsTheEndsOnThePlateau)
{
  Scenario flat, steep;
  flat.tibia.plateau_angle_deg = 20;
  steep.tibia.plateau_angle_deg = 32;
  const JointParts a = make_joint_parts(flat), b = make_joint_parts(steep);
  for (std::size_t i = 0; i < a.bundles.size(); ++i)
  {
    const Vector3 expected =
        a.bundles[i].on_plateau ? Vector3(rotation_about_y(radians(12)) * a.bundles[i].tibia) : a.bundles[i].tibia;
    EXPECT_NEAR((b.bundles[i].tibia - expected).norm(), 0, 1e-12) << a.bundles[i].name;
    EXPECT_EQ((b.bundles[i].femur - a.bundles[i].femur).norm(), 0);
  }
  // positive plateau angle: cranial end up
  EXPECT_NEAR((rotation_about_y(radians(12)) * plateau_chord(make_anatomy(flat)) - plateau_chord(make_anatomy(steep))).norm(), 0,
              1e-12);
}

// Requirement: a bundle has its strain in the reference pose: condyles on the intercondylar line at the indentation, no rotation.
TEST(JointParts, RestLengthGivesTheReferenceStrain)
{
  const Anatomy a = make_anatomy(Scenario());
  const JointParts &j = a.joint;
  const Vector3 axle = (j.condyles[medial].sagittal_radius_mm - j.reference_indentation_mm) * plateau_normal(a);
  for (const Bundle &b : j.bundles)
    EXPECT_NEAR((axle + femur_rotation(j.reference_stifle_rad) * b.femur - b.tibia).norm() / b.rest_mm - 1, b.reference_strain,
                1e-12)
        << b.name;
}
