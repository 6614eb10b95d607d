// Requirements of the film reader. Expected values: films drawn here from known angles by plane geometry, then read back.
#include "models/core/error.h"
#include "models/core/files.h"
#include "models/core/scenario.h"
#include "models/parts/radiograph.h"
#include "tests/models/core/temporary.h"
#include "tests/models/parts/repairs/film.h"
#include "tests/support/refusal.h"
#include <gtest/gtest.h>
#include <random>

using namespace stifle;
using namespace stifle::test;

namespace
{
RadiographMeasures read_text(const std::string &text)
{
  const TemporaryFolder folder;
  return read_radiograph(folder.write("film.yaml", text));
}

std::string refusal(const std::string &text) { return test::refused_with<InputError>([&] { read_text(text); }); }

std::string with(Points points, const std::string &name, const PicturePoint &place, const Film &film = {})
{
  points[name] = place;
  return film_text(points, film);
}

std::string replaced(std::string text, const std::string &from, const std::string &to)
{
  const std::size_t at = text.find(from);
  return at == std::string::npos ? "no such text" : text.replace(at, from.size(), to);
}

void expect_bone(const RadiographMeasures &m)
{
  EXPECT_NEAR(degrees(m.plateau_angle_rad), 25, 1e-5);
  EXPECT_NEAR(degrees(m.tendon_angle_rad), 107, 1e-5);
  EXPECT_NEAR(m.tendon_length_mm, 40, 1e-5);
  EXPECT_NEAR(degrees(m.stifle_angle_rad), 135, 1e-12);
  EXPECT_NEAR(m.tibia_length_mm, 200, 1e-5);
  ASSERT_TRUE(m.saw);
  EXPECT_NEAR(m.saw->radius_mm, 24, 1e-5);
  EXPECT_NEAR(m.saw->centre_offset_mm, 2, 1e-5);
  EXPECT_NEAR(m.saw->centre_height_mm, -1, 1e-5);
  // Hand: 31 - 2 - sqrt(24^2 - 13^2) = 29 - 20.1742 = 8.8258 mm.
  EXPECT_NEAR(m.saw->tuberosity_width_mm.value_or(0), 8.8258, 1e-4);
}
} // namespace

// Requirement: what was drawn is measured, whatever unit, side, scale and tilt of the film.
TEST(Radiograph, MeasuresWhatWasDrawn)
{
  for (const bool pixel : {true, false})
    for (const bool right : {true, false})
      for (const double turn : {0.0, -35.0, 80.0, 170.0})
        expect_bone(read_text(film_text(bone(), {pixel, right, pixel ? 0.15 : 1, turn})));
}

// Requirement: doubling the scale doubles lengths and keeps angles.
TEST(Radiograph, ScaleChangesLengthsOnly)
{
  const std::string text = replaced(film_text(bone(), {}), "mm_per_pixel: 0.15", "mm_per_pixel: 0.075");
  const RadiographMeasures half = read_text(text);
  EXPECT_NEAR(half.tibia_length_mm, 100, 1e-5);
  EXPECT_NEAR(half.saw->radius_mm, 12, 1e-5);
  EXPECT_NEAR(degrees(half.plateau_angle_rad), 25, 1e-5);
  EXPECT_NEAR(degrees(half.tendon_angle_rad), 107, 1e-5);
}

// Requirement: the saw is optional, but not half of it.
TEST(Radiograph, SawIsOptional)
{
  Points points = bone();
  points.erase("saw_centre");
  EXPECT_NE(refusal(film_text(points, {})).find("come together"), std::string::npos);
  points.erase("saw_rim");
  EXPECT_FALSE(read_text(film_text(points, {})).saw);
}

// Requirement: unknown, missing, coinciding and non-finite points are refused by name, with the line.
TEST(Radiograph, RefusesBrokenFiles)
{
  const std::string good = film_text(bone(), {});
  const std::pair<std::string, std::string> cases[] = {
      {replaced(good, "tuberosity:", "tuberosty:"), "unknown key 'tuberosty'"},
      {replaced(good, "unit: pixel", "unit: inch"), "unit"},
      {replaced(good, "mm_per_pixel: 0.15\n", ""), "mm_per_pixel is missing"},
      {replaced(good, "mm_per_pixel: 0.15", "mm_per_pixel: 0"), "mm_per_pixel"},
      {replaced(good, "mm_per_pixel: 0.15", "mm_per_pixel: .nan"), "mm_per_pixel"},
      {replaced(good, "unit: pixel", "unit: mm"), "mm_per_pixel must be absent"},
      {replaced(good, "view: lateral", "view: frontal"), "view"},
      {replaced(good, "cranial: right", "cranial: up"), "cranial"},
      {replaced(good, "cranial: right\n", ""), "cranial"},
      {replaced(good, "stifle_angle_deg: 135\n", ""), "stifle_angle_deg"},
      {replaced(good, "stifle_angle_deg: 135", "stifle_angle_deg: 45"), "stifle_angle_deg"},
      {replaced(good, "intercondylar: [1000.000000000,", "intercondylar: [.inf,"), "points.intercondylar[1]"},
      {replaced(good, "intercondylar: [1000.000000000,", "intercondylar: [.nan,"), "points.intercondylar[1]"},
      {replaced(good, "intercondylar: [1000.000000000,", "intercondylar: [1e300,"), "points.intercondylar[1]"},
      {with(bone(), "plateau_caudal", bone()["plateau_cranial"]), "coincide"},
      {with(bone(), "talus_centre", {0, 0}), "coincide"},
      {with(bone(), "saw_rim", bone()["saw_centre"]), "coincide"},
      {"unit: mm\n", "points"},
      {"[]\n", ""},
      {"unit: mm\nview: lateral\ncranial: right\npoints: 3\n", "points"},
  };
  for (const auto &[text, expected] : cases)
  {
    const std::string message = refusal(text);
    EXPECT_NE(message, "not refused") << text;
    EXPECT_NE(message.find(expected), std::string::npos) << message;
    EXPECT_NE(message.find("film.yaml:"), std::string::npos) << message;
  }
  Points missing = bone();
  missing.erase("talus_centre");
  EXPECT_NE(refusal(film_text(missing, {})).find("talus_centre"), std::string::npos);
}

// Requirement: films that cannot be a stifle are refused: swapped ends, mirrored sides, wrong scale, wrong points.
TEST(Radiograph, RefusesAbsurdFilms)
{
  Points swapped = bone();
  std::swap(swapped["plateau_cranial"], swapped["plateau_caudal"]);
  const std::string mirrored = replaced(film_text(bone(), {}), "cranial: right", "cranial: left");
  const std::string upside =
      replaced(replaced(film_text(bone(), {true, true, 1, 0}), "unit: pixel", "unit: mm"), "mm_per_pixel: 1\n", "");
  const std::pair<std::string, std::string> cases[] = {
      {film_text(swapped, {}), "plateau angle is absurd"},
      {mirrored, "cranial of the functional axis"},
      {upside, "cranial of the functional axis"}, // y down read as y up is a mirrored film
      {replaced(film_text(bone(), {}), "0.15", "1.5"), "is the scale right"},
      {replaced(film_text(bone(), {}), "0.15", "0.015"), "is the scale right"},
      {with(bone(), "tuberosity", {31, -120}), "near the joint"},
      {with(bone(), "patella_distal", {31, -40}), "proximal of the tuberosity"},
      {with(bone(), "plateau_cranial", {100, 46}), "impossible length"},
      {with(bone(), "plateau_cranial", {10, 40}), "absurd"},
      {with(bone(), "saw_rim", {14, -1}), "does not reach down"}, // 12 mm, the tuberosity is 13 mm below the centre
  };
  for (const auto &[text, expected] : cases)
    EXPECT_NE(refusal(text).find(expected), std::string::npos) << refusal(text);
}

// Requirement: whatever the bytes, reading ends in measures that are finite or in an InputError.
TEST(Radiograph, HostileFilesNeverEscape)
{
  const TemporaryFolder folder;
  const std::string good = film_text(bone(), {});
  unsigned refused = 0, read = 0;
  const auto feed = [&](const std::string &bytes)
  {
    const std::string file = folder.write("film.yaml", bytes);
    try
    {
      const RadiographMeasures m = read_radiograph(file);
      ++read;
      for (const double value : {m.plateau_angle_rad, m.tendon_angle_rad, m.tibia_length_mm, m.plateau_length_mm})
        ASSERT_TRUE(std::isfinite(value)) << bytes;
    }
    catch (const InputError &)
    {
      ++refused;
    }
  };
  for (std::size_t length = 0; length <= good.size(); length += 3)
    feed(good.substr(0, length));
  const std::string alphabet = "0123456789.-+e[]{}:, \n#&*!\"'uxy";
  for (unsigned seed = 0; seed < 600; ++seed)
  {
    std::mt19937 random(seed);
    std::string bytes = good;
    for (unsigned i = 0; i <= seed % 4; ++i)
      bytes[random() % bytes.size()] = seed % 2 ? alphabet[random() % alphabet.size()] : char(random() & 0xff);
    feed(bytes);
    std::string digits = good;
    for (unsigned i = 0; i <= seed % 4; ++i)
      if (char &c = digits[random() % digits.size()]; c >= '0' && c <= '9')
        c = char('0' + random() % 10);
    feed(digits);
    std::string noise(1 + random() % 300, ' ');
    for (char &byte : noise)
      byte = seed % 2 ? alphabet[random() % alphabet.size()] : char(random() & 0xff);
    feed(noise);
  }
  EXPECT_GT(refused, 600u);
  EXPECT_GT(read, 100u); // many changed digits leave a stifle
}

// Requirement: the film replaces plateau angle, length and arc; the echo shows the values used and is read back the same.
TEST(Radiograph, ReplacesTheValuesOfTheScenario)
{
  const TemporaryFolder folder;
  folder.write("film.yaml", film_text(bone(), {}));
  const Scenario s =
      read_scenario(folder.write("dog.yaml", "radiograph: {landmarks: film.yaml}\nlevelling: {plateau_angles_deg: 6}\n"));
  EXPECT_NEAR(s.tibia.plateau_angle_deg, 25, 1e-5);
  EXPECT_NEAR(s.tibia.length_mm, 200, 1e-5);
  EXPECT_NEAR(s.tibia.tuberosity_cranial_mm.value_or(0), 31, 1e-5);
  EXPECT_NEAR(s.tibia.tuberosity_proximal_mm.value_or(0), -14, 1e-5);
  EXPECT_NEAR(s.joint.tendon_length_mm.value_or(0), 40, 1e-5);
  EXPECT_NEAR(s.joint.tendon_angle_deg.value_or(0), 107, 1e-5);
  EXPECT_NEAR(s.tibia.tuberosity_width_mm.value_or(0), 8.8258, 1e-4); // by hand above
  EXPECT_NEAR(s.levelling.saw_radius_mm, 24, 1e-5);
  EXPECT_FALSE(s.levelling.centre_offset_mm); // the width places the arc
  EXPECT_NEAR(s.levelling.centre_height_mm, -1, 1e-5);
  const std::string echo = echo_scenario(s);
  EXPECT_NE(echo.find("measured by radiograph.landmarks; default 24"), std::string::npos);
  const Scenario again = read_scenario(folder.write("echo.yaml", echo));
  EXPECT_EQ(again.tibia.plateau_angle_deg, s.tibia.plateau_angle_deg);
  EXPECT_EQ(again.tibia.tuberosity_width_mm, s.tibia.tuberosity_width_mm);
  EXPECT_EQ(again.joint.tendon_angle_deg, s.joint.tendon_angle_deg);
  EXPECT_EQ(echo_scenario(again), echo);
  unsigned found = 0;
  for (const AssumptionRow &row : list_assumptions(s))
    found += row.key == "levelling.centre_height_mm" && row.label == "measured by radiograph.landmarks";
  EXPECT_EQ(found, 1u);
}

// Requirement: null leaves a measure to the film; it is no contradiction.
TEST(Radiograph, FillsWhatIsNull)
{
  const TemporaryFolder folder;
  folder.write("film.yaml", film_text(bone(), {}));
  const Scenario s = read_scenario(folder.write("dog.yaml", "radiograph: {landmarks: film.yaml}\ndog: {mass_kg: 12}\n"
                                                            "tibia: {length_mm: null, tuberosity_width_mm: null}\n"
                                                            "levelling: {centre_offset_mm: null, plateau_angles_deg: 6}\n"));
  EXPECT_NEAR(s.tibia.length_mm, 200, 1e-5);
  EXPECT_FALSE(s.tibia.length_from_mass);
  EXPECT_NEAR(s.tibia.tuberosity_width_mm.value_or(0), 8.8258, 1e-4);
  EXPECT_FALSE(s.levelling.centre_offset_mm); // the width places the arc
}

// Requirement: without a saw on the film the scenario places the arc.
TEST(Radiograph, LeavesTheArcAloneWithoutASaw)
{
  const TemporaryFolder folder;
  Points points = bone();
  points.erase("saw_centre");
  points.erase("saw_rim");
  folder.write("film.yaml", film_text(points, {}));
  const Scenario s = read_scenario(folder.write(
      "dog.yaml", "radiograph: {landmarks: film.yaml}\ntibia: {tuberosity_width_mm: 9}\nlevelling: {saw_radius_mm: 27}\n"));
  EXPECT_EQ(s.tibia.tuberosity_width_mm, 9);
  EXPECT_EQ(s.levelling.saw_radius_mm, 27);
  EXPECT_NEAR(s.tibia.plateau_angle_deg, 25, 1e-5);
}
