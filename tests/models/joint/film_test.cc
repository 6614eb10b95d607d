// Requirements of a film in the joint: the dog that is computed is the dog on the film.
#include "models/core/error.h"
#include "models/joint/sweep.h"
#include "models/parts/advancement.h"
#include "models/study/uncertain_input.h"
#include "tests/models/core/temporary.h"
#include "tests/models/joint/support.h"
#include "tests/models/parts/repairs/film.h"
#include <gtest/gtest.h>

using namespace stifle;
using namespace stifle::test;

namespace
{
Scenario read_film(const Points &points, const Film &film, const std::string &more = "", std::string *error = nullptr)
{
  const TemporaryFolder folder;
  folder.write("film.yaml", film_text(points, film));
  const std::string file =
      folder.write("dog.yaml", "radiograph: {landmarks: film.yaml}\nlevelling: {plateau_angles_deg: 6}\n" + more);
  try
  {
    return read_scenario(file);
  }
  catch (const InputError &refused)
  {
    if (!error)
      throw;
    *error = refused.what();
    return {};
  }
}

/// The default dog as a camera sees it, joint reduced, with the arc planned for it. The patella: two circles meet cranially.
Points own_film(double stifle_deg)
{
  const Anatomy a = make_anatomy(Scenario());
  const Levelling cut = plan_levelling(Scenario(), a, radians(6));
  const double p = a.plateau_angle_rad, f = pi - radians(stifle_deg), r = a.trochlea_radius_mm, l = a.tendon_length_mm;
  const auto flat = [](const Vector3 &v) { return PicturePoint(v.x(), v.z()); };
  const PicturePoint turned(std::cos(f) * a.trochlea_centre.x() - std::sin(f) * a.trochlea_centre.z(),
                            std::sin(f) * a.trochlea_centre.x() + std::cos(f) * a.trochlea_centre.z());
  const PicturePoint groove = a.condyle_radius_mm * PicturePoint(-std::sin(p), std::cos(p)) + turned,
                     t = flat(a.tendon_insertion);
  const double d = (groove - t).norm(), along = (d * d + l * l - r * r) / (2 * d), across = std::sqrt(l * l - along * along);
  const PicturePoint u = (groove - t) / d;
  Points points = {{"plateau_cranial", 15 * PicturePoint(std::cos(p), std::sin(p))},
                   {"plateau_caudal", -13 * PicturePoint(std::cos(p), std::sin(p))},
                   {"intercondylar", {0, 0}},
                   {"talus_centre", {0, -a.tibia_length_mm}},
                   {"tuberosity", t},
                   {"patella_distal", t + along * u + across * PicturePoint(u.y(), -u.x())},
                   {"saw_centre", flat(cut.centre)}};
  points["saw_rim"] = points["saw_centre"] + PicturePoint(0, -cut.radius_mm);
  return points;
}

/// Mean tendon angle of the rows of a light press at the stifle angle of the film, deg.
double pressed_tendon_angle(Scenario s, int dimension)
{
  s.joint.dimension = dimension;
  s.loads.set = {"press"};
  s.loads.axial_force_n = 5;
  s.loads.stifle_angle_deg = 135;
  s.study.sweep_plateau_deg = {25, 26, 5};
  s.repair.kind = {"none"};
  const std::vector<JointRow> rows = joint_rows(s, {}, {});
  for (const JointRow &row : rows)
    if (row.ligament == LigamentState::intact)
      return row.state.converged ? degrees(row.state.tendon_angle_rad) : 0;
  return 0;
}
} // namespace

// Requirement: a film of our own anatomy gives the anatomy back, at any stifle angle of the film, and the arc it shows.
TEST(FilmJoint, GivesBackTheAnatomyItWasMadeFrom)
{
  const Anatomy own = make_anatomy(Scenario());
  const double centre = plan_levelling(Scenario(), own, radians(6)).centre.x();
  for (const double stifle : {100.0, 135.0, 160.0})
  {
    Film film;
    film.stifle_deg = stifle;
    const Scenario s = read_film(own_film(stifle), film);
    const Anatomy a = make_anatomy(s);
    EXPECT_NEAR((a.tendon_insertion - own.tendon_insertion).norm(), 0, 1e-6) << stifle;
    EXPECT_NEAR(a.tendon_length_mm, own.tendon_length_mm, 1e-6) << stifle;
    EXPECT_NEAR(a.trochlea_radius_mm, own.trochlea_radius_mm, 1e-6) << stifle;
    EXPECT_NEAR(a.plateau_angle_rad, own.plateau_angle_rad, 1e-8) << stifle;
    EXPECT_NEAR(s.tibia.tuberosity_width_mm.value_or(0), 10.8, 1e-6) << stifle;
    EXPECT_NEAR(plan_levelling(s, a, radians(6)).centre.x(), centre, 1e-6) << stifle;
  }
}

// Requirement: in the reduced joint at the stifle angle of the film the tendon stands as on the film; unloaded, so does the
// computed joint within half a degree (the contact of 5 N moves it), in two and three dimensions.
TEST(FilmJoint, HasTheTendonAngleOfTheFilm)
{
  for (const double stifle : {120.0, 135.0, 150.0})
  {
    Film film;
    film.stifle_deg = stifle;
    EXPECT_NEAR(degrees(reduced_tendon_angle_rad(make_anatomy(read_film(bone(), film)), radians(stifle))), 107, 1e-6) << stifle;
  }
  for (const int dimension : {2, 3})
    EXPECT_NEAR(pressed_tendon_angle(read_film(bone(), {}), dimension), 107, 0.5) << dimension;
}

// Requirement: 3 mm of tuberosity show in the joint. By hand, patella of the film at (25.433, 25.611) mm: the tendon runs along
// (-5.567, 39.611) before and (-8.567, 39.611) after, against the tibial axis 8.000 and 12.204 deg: 4.204 deg less.
TEST(FilmJoint, FollowsTheTuberosityOfTheFilm)
{
  Points cranial = bone();
  cranial["tuberosity"] += PicturePoint(3, 0);
  EXPECT_NEAR(bone()["patella_distal"].x(), 25.433, 1e-3);
  EXPECT_NEAR(bone()["patella_distal"].y(), 25.611, 1e-3);
  const Scenario before = read_film(bone(), {}), after = read_film(cranial, {});
  EXPECT_NEAR(make_anatomy(after).tendon_insertion.x(), 34, 1e-6);
  for (const int dimension : {2, 3})
    EXPECT_NEAR(pressed_tendon_angle(after, dimension) - pressed_tendon_angle(before, dimension), -4.204, 0.15) << dimension;
}

// Requirement: the measured angle is one of the bone: other slopes of the same dog (a sweep) leave femur and tuberosity alone.
TEST(FilmJoint, KeepsTheFemurThroughASweep)
{
  Scenario s = read_film(bone(), {});
  const Anatomy here = make_anatomy(s);
  s.tibia.plateau_angle_deg = 10;
  const Anatomy there = make_anatomy(s);
  EXPECT_EQ(there.trochlea_radius_mm, here.trochlea_radius_mm);
  EXPECT_EQ(there.tendon_insertion, here.tendon_insertion);
}

// Requirement: a value given by hand as well is refused with both lines; the arc as well. The width counts as given by the film.
TEST(FilmJoint, RefusesWhatIsGivenTwice)
{
  const std::pair<const char *, std::vector<std::string>> cases[] = {
      {"tibia: {tuberosity_cranial_mm: 28}\n",
       {"dog.yaml:3:", "tibia.tuberosity_cranial_mm", "film.yaml:14 (points.tuberosity)"}},
      {"tibia: {tuberosity_width_mm: 9}\n", {"dog.yaml:3:", "tibia.tuberosity_width_mm", "film.yaml:12 (points.saw_rim)"}},
      {"joint: {tendon_angle_deg: 100}\n", {"dog.yaml:3:", "joint.tendon_angle_deg", "film.yaml:8 (points.patella_distal)"}},
      {"joint: {tendon_angle_stifle_deg: 140}\n",
       {"dog.yaml:3:", "joint.tendon_angle_stifle_deg", "film.yaml:5 (stifle_angle_deg)"}},
  };
  for (const auto &[more, parts] : cases)
  {
    std::string error = "not refused";
    read_film(bone(), {}, more, &error);
    for (const std::string &part : parts)
      EXPECT_NE(error.find(part), std::string::npos) << part << "\n" << error;
    EXPECT_NE(error.find("1 error in"), std::string::npos) << error;
  }
}

// Requirement: the same value twice is no contradiction.
TEST(FilmJoint, TakesTheSameValueTwice)
{
  const Scenario s = read_film(bone(), {}, "joint: {tendon_angle_stifle_deg: 135}\n");
  EXPECT_NEAR(s.joint.tendon_angle_stifle_deg, 135, 1e-9);
}

// Requirement: the offset of the arc cannot be given beside a film that shows the saw: one error, the line of saw_centre named.
TEST(FilmJoint, RefusesAnArcBesideTheFilm)
{
  const TemporaryFolder folder;
  folder.write("film.yaml", film_text(bone(), {}));
  const std::string file = folder.write("dog.yaml", "radiograph: {landmarks: film.yaml}\nlevelling: {centre_offset_mm: 1}\n");
  try
  {
    read_scenario(file);
    FAIL() << "not refused";
  }
  catch (const InputError &error)
  {
    const std::string text = error.what();
    EXPECT_NE(text.find("dog.yaml:2:"), std::string::npos) << text;
    EXPECT_NE(text.find("film.yaml:11 (points.saw_centre)"), std::string::npos) << text;
    EXPECT_NE(text.find("1 error in"), std::string::npos) << text;
  }
}

// Requirement: a tendon that no femur of that size can have is refused in words a user understands.
TEST(FilmJoint, RefusesAPatellaFarFromItsGroove)
{
  Points points = bone();
  points["patella_distal"] = {46, 23};
  std::string error = "not refused";
  read_film(points, {}, "", &error);
  EXPECT_NE(error.find("dog.yaml:1:"), std::string::npos) << error;
  EXPECT_NE(error.find("from the axis of its groove"), std::string::npos) << error;
}

// Requirement: by hand without a film the same keys do the same.
TEST(FilmJoint, TakesTheTendonByHandToo)
{
  const TemporaryFolder folder;
  const Scenario s = read_scenario(
      folder.write("dog.yaml", "joint: {tendon_angle_deg: 104, tendon_angle_stifle_deg: 140, tendon_length_mm: 42}\n"
                               "tibia: {tuberosity_cranial_mm: 30, tuberosity_proximal_mm: -16}\n"));
  const Anatomy a = make_anatomy(s);
  EXPECT_EQ(a.tendon_insertion, Vector3(30, 0, -16));
  EXPECT_EQ(a.tendon_length_mm, 42);
  EXPECT_NEAR(degrees(reduced_tendon_angle_rad(a, radians(140))), 104, 1e-9);
}

// Requirement: with a film the bands hold the observer (SD 0.8 deg, cut at 2.5 SD: 2 deg) and not the population: plateau and
// tendon angle of the dog move by the error, each by its own.
TEST(FilmJoint, DrawsTheObserverNotThePopulation)
{
  const Scenario s = read_film(bone(), {});
  const auto inputs = uncertain_inputs(s);
  std::map<std::string, const UncertainInput *> by_name;
  for (const UncertainInput &i : inputs)
    by_name[i.name] = &i;
  EXPECT_EQ(by_name.count("native_plateau_angle") + by_name.count("tendon_insertion_shift") + by_name.count("tendon_length"), 0u);
  for (const char *name : {"observer_error", "tendon_angle_observer_error"})
  {
    ASSERT_EQ(by_name.count(name), 1u) << name;
    EXPECT_NEAR(by_name[name]->distribution.high(), 2, 1e-12) << name;
  }
  SampledDog dog{s, {}, {}, 0, 0, {}};
  by_name["tendon_angle_observer_error"]->apply(dog, 1.5);
  EXPECT_NEAR(degrees(reduced_tendon_angle_rad(make_anatomy(dog.scenario), radians(135))), 105.5, 1e-6);
  by_name["observer_error"]->apply(dog, 1);
  EXPECT_NEAR(degrees(make_anatomy(dog.scenario).plateau_angle_rad), 24, 1e-5);
}
