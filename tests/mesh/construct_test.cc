// The levelled construct on a coarse mesh: volumes, areas, angles, conformity and refusals.
// Expected values: closed forms, conservation laws and geometry of the plan, derived beside each test.
#include "mesh/bone_shape.h"
#include "mesh/construct.h"
#include "mesh/session.h"
#include "mesh/skin.h"
#include "tests/support/coarse_scenario.h"
#include <functional>
#include <gtest/gtest.h>
#include <map>
#include <set>

using namespace stifle;
using namespace stifle::mesh;

namespace
{
struct Case
{
  Scenario scenario = coarse_scenario();
  Anatomy anatomy = make_anatomy(scenario);
  Levelling levelling;
  ConstructMesh construct;
};

Case make_case(double target_deg)
{
  Case c;
  if (target_deg > 10)
    c.scenario.mesh.detail_size_mm = 0.6; // the case for volumes of screws and holes; the other stays coarse for time
  c.levelling = plan_levelling(c.scenario, c.anatomy, radians(target_deg));
  c.construct = mesh_construct(c.scenario, c.anatomy, c.levelling);
  return c;
}
/// Meshed once for all tests.
const Case &case_at(double target_deg)
{
  static std::map<double, Case> cases;
  auto it = cases.find(target_deg);
  if (it == cases.end())
    it = cases.emplace(target_deg, make_case(target_deg)).first;
  return it->second;
}
const Case &whole_bone()
{
  static const Case c = []
  {
    Case w;
    w.levelling = no_levelling(w.anatomy);
    w.construct = mesh_construct(w.scenario, w.anatomy, w.levelling);
    return w;
  }();
  return c;
}

Vector3 area_vector(const TetMesh &m, const Triangle &t)
{
  return 0.5 * (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]);
}
double area(const TetMesh &m, const std::string &surface)
{
  double sum = 0;
  for (const Triangle &t : m.find_surface(surface)->triangles)
    sum += area_vector(m, t).norm();
  return sum;
}
double volume_of(const TetMesh &m, const std::vector<std::string> &names)
{
  double sum = 0;
  for (const std::string &n : names)
    sum += part_volume(m, m.find_part(n));
  return sum;
}
} // namespace

// Requirement: the plateau angle of the mesh is the achieved angle of the plan. Both are the angle of the turned chord
// plane against the line from hock to turned origin; 0.05 deg is the tolerance of the issue.
TEST(Construct, MeshHasTheAchievedPlateauAngle)
{
  for (const double target : {15.0, 0.0})
    EXPECT_NEAR(degrees(case_at(target).construct.plateau_angle_rad), degrees(case_at(target).levelling.achieved_angle_rad),
                0.05);
  EXPECT_NEAR(degrees(whole_bone().construct.plateau_angle_rad), 25.0, 1e-6);
}

// Requirement: chord between the ends of the cut = 2 R sin(phi/2). By hand: R 24, phi 10 deg: 48 sin 5 deg = 4.18348;
// phi 25 deg: 48 sin 12.5 deg = 10.38909 (construct.md 1.18 prints 10.389 for R 24 and 25 deg).
TEST(Construct, ChordFollowsTheRotation)
{
  EXPECT_NEAR(case_at(15).construct.chord_mm, 4.18348, 1e-3);
  EXPECT_NEAR(case_at(0).construct.chord_mm, 10.38909, 1e-3);
}

// Edges of 1.2 mm (twice the detail) on a circle of radius 1.45 mm: the inscribed polygon has sin(2a)/(2a) of the area,
// sin(a) = 0.6/1.45, so at least 0.88.
constexpr double polygon_part = 0.88;

// Requirement: cutting and turning keep the bone; holes take out the screws inside the bone: pi r^2 times the length from
// entry to exit of the axis (the skin is nearly straight across a screw), less up to 12 % of it for the polygon.
TEST(Construct, KeepsTheVolumeOfTheBone)
{
  const double whole = volume_of(whole_bone().construct.mesh, {"cortex_distal", "cancellous_distal"});
  const Case &c = case_at(15);
  double holes = 0;
  for (const auto &k : c.construct.screws)
    holes += pi * 1.45 * 1.45 * (k.entry.y() - k.tip.y() - 1); // the tip stands 1 mm or more beyond the far skin
  const double bone =
      volume_of(c.construct.mesh, {"cortex_proximal", "cancellous_proximal", "cortex_distal", "cancellous_distal"});
  EXPECT_GT(bone + holes, whole - 0.002 * whole);
  EXPECT_LT(bone + polygon_part * holes, whole + 0.002 * whole);
}

// Requirement: screws have the volume of their core, between the polygon and the circle. The outer face of the plate is
// 3.3 mm from the inner one along its normal, 3.3 to 3.7 mm along the screw.
TEST(Construct, ScrewsHaveTheVolumeOfTheirCore)
{
  const Case &c = case_at(15);
  for (const auto &k : c.construct.screws)
  {
    const double length = k.head.y() - k.tip.y() + 3.3, exact = pi * 1.45 * 1.45 * length;
    const double meshed = volume_of(c.construct.mesh, {k.name});
    EXPECT_GT(meshed, polygon_part * exact) << k.name;
    EXPECT_LT(meshed, exact * (length + 0.4) / length) << k.name;
  }
}

// Requirement: the cut faces are the whole saw cut: paired plus free area is the same on both sides and at every slope,
// since turning only slides them. Source: rigid rotation keeps area; 1 % covers the faceting at 4 mm.
TEST(Construct, CutFacesKeepTheirAreaAtEverySlope)
{
  std::vector<double> areas;
  for (const double target : {15.0, 0.0})
  {
    const ConstructMesh &c = case_at(target).construct;
    for (const char *side : {"cut_free_proximal", "cut_free_distal"})
      areas.push_back(c.cut_area_mm2 + area(c.mesh, side));
  }
  for (const double a : areas)
    EXPECT_NEAR(a, areas[0], 0.01 * areas[0]);
  // More rotation, less overlap.
  EXPECT_LT(case_at(0).construct.cut_area_mm2, case_at(15).construct.cut_area_mm2);
}

// Requirement: that area is the one of the saw cylinder in the bone: integral over the arc of (medial - lateral skin) R dt,
// by the midpoint rule on the sampled loft, which no mesh enters. 1 % for facets of 4 mm (h^2/24 r^2 = 0.1 % on R 24 mm, and
// the chords of the skin).
TEST(Construct, CutAreaIsTheSectionOfTheBone)
{
  const Case &c = case_at(15);
  const GmshSession session;
  const Skin skin = sample_skin(loft(bone_sections(c.anatomy)));
  const int n = 2000;
  double sum = 0;
  for (int i = 0; i < n; ++i)
  {
    const double t = 2 * pi * (i + 0.5) / n;
    const Vector3 p = c.levelling.centre + 24 * Vector3(std::cos(t), 0, std::sin(t));
    if (p.z() > p.x() * std::tan(radians(25))) // above the plateau
      continue;
    const auto medial = skin.height(p.x(), p.z(), +1), lateral = skin.height(p.x(), p.z(), -1);
    if (medial && lateral)
      sum += (*medial - *lateral) * 24 * 2 * pi / n;
  }
  EXPECT_NEAR(c.construct.cut_area_mm2 + area(c.construct.mesh, "cut_free_distal"), sum, 0.01 * sum);
}

// Requirement: every paired triangle lies on the saw cylinder, and its two copies coincide exactly.
TEST(Construct, CutPairsCoincideOnTheCylinder)
{
  const Case &c = case_at(15);
  const TetMesh &m = c.construct.mesh;
  ASSERT_FALSE(m.cut.empty());
  for (const FacePair &p : m.cut)
    for (int i = 0; i < 3; ++i)
    {
      const Vector3 &a = m.points[p.a[i]], r = a - c.levelling.centre;
      EXPECT_EQ(a, m.points[p.b[i]]);
      EXPECT_NEAR(std::hypot(r.x(), r.z()), 24, 1e-5);
      EXPECT_EQ(m.component[p.part_a], 0u);
      EXPECT_EQ(m.component[p.part_b], 1u);
    }
}

// Requirement: thread pairs lie on the core cylinder of their screw; a = screw, b = bone.
TEST(Construct, ThreadPairsCoincideOnTheScrew)
{
  const Case &c = case_at(15);
  const TetMesh &m = c.construct.mesh;
  std::set<unsigned> screws;
  for (const FacePair &p : m.threads)
  {
    screws.insert(p.part_a);
    const auto &k = c.construct.screws.at(p.part_a - m.find_part("screw_1"));
    ASSERT_EQ(m.parts[p.part_a], k.name);
    EXPECT_EQ(m.component[p.part_b], k.proximal ? 0u : 1u);
    for (int i = 0; i < 3; ++i)
    {
      EXPECT_EQ(m.points[p.a[i]], m.points[p.b[i]]);
      EXPECT_NEAR(std::hypot(m.points[p.a[i]].x() - k.tip.x(), m.points[p.a[i]].z() - k.tip.z()), 1.45, 1e-5);
    }
  }
  EXPECT_EQ(screws.size(), 6u);
}

// Requirement: no node is shared between components; every tetrahedron is positive; no inner crack: the boundary of each
// component is closed, so the sum of its outward area vectors vanishes, and it consists of pairs and named surfaces only.
TEST(Construct, ComponentsAreConformingClosedAndApart)
{
  for (const double target : {15.0, 0.0})
  {
    const TetMesh &m = case_at(target).construct.mesh;
    std::vector<int> owner(m.points.size(), -1);
    for (std::size_t t = 0; t < m.tetrahedra.size(); ++t)
    {
      ASSERT_GT(volume(m, t), 0);
      for (const unsigned v : m.tetrahedra[t])
      {
        const int component = m.component[m.part[t]];
        ASSERT_TRUE(owner[v] == -1 || owner[v] == component);
        owner[v] = component;
      }
    }
    std::array<Vector3, 3> sum = {Vector3::Zero(), Vector3::Zero(), Vector3::Zero()};
    std::size_t n_named = 2 * m.cut.size() + 2 * m.threads.size();
    const auto boundary = boundary_faces(m);
    for (const BoundaryFace &f : boundary)
      sum[m.component[m.part[f.tetrahedron]]] += area_vector(m, f.triangle);
    for (const Vector3 &s : sum)
      EXPECT_LT(s.norm(), 1e-8);
    for (const Surface &s : m.surfaces)
      n_named += s.triangles.size();
    EXPECT_EQ(boundary.size(), n_named);
  }
}

// Requirement: no face has three tetrahedra, and each component hangs together (one piece by shared nodes).
TEST(Construct, EachComponentIsOnePiece)
{
  const TetMesh &m = case_at(15).construct.mesh;
  std::vector<unsigned> root(m.points.size());
  for (unsigned i = 0; i < root.size(); ++i)
    root[i] = i;
  const std::function<unsigned(unsigned)> find = [&](unsigned v)
  {
    while (root[v] != v)
      v = root[v] = root[root[v]];
    return v;
  };
  for (const Tetrahedron &t : m.tetrahedra)
    for (const unsigned v : t)
      root[find(v)] = find(t[0]);
  std::set<unsigned> pieces;
  for (unsigned i = 0; i < root.size(); ++i)
    pieces.insert(find(i));
  EXPECT_EQ(pieces.size(), 3u);
}

// Requirement: landmarks lie on the bone: the tendon insertion within 1 mm of the distal skin, the contact centres and the
// ends of the plateau chord on the turned plateau (inside one of its triangles: here within 1e-6 mm of the plane and
// nearer than 4 mm, the element size, to one of its nodes).
TEST(Construct, CarriesTheLandmarks)
{
  const Case &c = case_at(15);
  const TetMesh &m = c.construct.mesh;
  const auto nearest = [&](const Vector3 &p, const char *surface)
  {
    double d = 1e300;
    for (const Triangle &t : m.find_surface(surface)->triangles)
      for (const unsigned v : t)
        d = std::min(d, (m.points[v] - p).norm());
    return d;
  };
  double to_skin = 1e300; // to the plane of the nearest skin triangles
  for (const Triangle &t : m.find_surface("outer_distal")->triangles)
    if ((m.points[t[0]] - c.anatomy.tendon_insertion).norm() < 4)
      to_skin = std::min(to_skin, std::abs(area_vector(m, t).normalized().dot(m.points[t[0]] - c.anatomy.tendon_insertion)));
  EXPECT_LT(to_skin, 1.0);
  const Vector3 chord(std::cos(radians(25)), 0, std::sin(radians(25)));
  for (const Vector3 &p : {Vector3(0, 10, 0), Vector3(0, -10, 0), Vector3(14.5 * chord), Vector3(-14.5 * chord)})
    EXPECT_LT(nearest(c.levelling.moved(p), "plateau"), 4.0);
  EXPECT_LT(nearest(c.anatomy.hock_centre, "talar"), 4.0);
}

// Requirement: the plate has its stand-off. Every node of the plate lies medial of the skin entry heights: measured on the
// mesh along y against the skin triangles below, at least 0.8 mm less the faceting h^2/(8 r) of 4 mm facets (r about 10:
// 0.2 mm), and at most 8 mm.
TEST(Construct, PlateStandsOffTheBone)
{
  const TetMesh &m = case_at(0).construct.mesh;
  double least = 1e300;
  for (const Triangle &plate : m.find_surface("plate_outer")->triangles)
  {
    const Vector3 p = (m.points[plate[0]] + m.points[plate[1]] + m.points[plate[2]]) / 3;
    for (const char *skin : {"outer_proximal", "outer_distal"})
      for (const Triangle &t : m.find_surface(skin)->triangles)
      {
        const Vector3 n = area_vector(m, t);
        if (n.y() <= 0)
          continue;
        // p over the triangle, seen along y?
        bool over = true;
        for (int i = 0; i < 3; ++i)
        {
          const Vector3 &a = m.points[t[i]], &b = m.points[t[(i + 1) % 3]];
          over = over && (b.z() - a.z()) * (p.x() - a.x()) - (b.x() - a.x()) * (p.z() - a.z()) >= 0;
        }
        if (over)
          least = std::min(least, n.dot(p - m.points[t[0]]) / n.y());
      }
  }
  EXPECT_GT(least, 0.8 - 0.2);
  EXPECT_LT(least, 1.5); // it does come near somewhere
}

// Requirement: excluded lines: the rims of twelve hole ends in the plate (six holes, two faces) and of twelve thread ends
// have the right total length: at least 24 circles of 2 pi 1.45 = 9.11 mm, less the chord error of 7 edges (3.4 %).
TEST(Construct, ExcludedLinesHoldAllRims)
{
  const Case &c = case_at(15);
  double length = 0;
  for (const auto &line : c.construct.mesh.excluded)
    for (const auto &k : c.construct.screws)
    {
      const Vector3 middle = 0.5 * (line.from + line.to);
      if (std::hypot(middle.x() - k.tip.x(), middle.z() - k.tip.z()) < 1.5)
        length += (line.to - line.from).norm();
    }
  EXPECT_GT(length, 24 * 2 * pi * 1.45 * 0.96);
  EXPECT_LT(length, 24 * 2 * pi * 1.45 * 1.10); // ellipses on slopes up to 25 deg are at most 5 % longer
}

// Requirement: without a cut the bone is whole: one component (1), no plate, no pairs, no excluded lines.
TEST(Construct, WholeBoneIsOneComponent)
{
  const ConstructMesh &c = whole_bone().construct;
  EXPECT_EQ(c.mesh.parts, (std::vector<std::string>{"cortex_distal", "cancellous_distal"}));
  EXPECT_EQ(c.mesh.component, (std::vector<unsigned>{1, 1}));
  EXPECT_TRUE(c.mesh.cut.empty() && c.mesh.threads.empty() && c.mesh.excluded.empty() && c.screws.empty());
  EXPECT_EQ(c.mesh.find_surface("outer_proximal"), nullptr);
  EXPECT_GT(area(c.mesh, "plateau"), 0);
  EXPECT_GT(area(c.mesh, "talar"), 0);
}

// Requirement: the same input gives the same mesh, and the side of the limb does not enter (left limbs are mirrored later).
TEST(Construct, IsDeterministicAndKnowsNoSide)
{
  const Case &c = case_at(0);
  Scenario s = c.scenario;
  s.dog.limb = "left";
  const ConstructMesh again = mesh_construct(s, c.anatomy, c.levelling);
  ASSERT_EQ(again.mesh.points.size(), c.construct.mesh.points.size());
  EXPECT_EQ(again.mesh.tetrahedra, c.construct.mesh.tetrahedra);
  EXPECT_EQ(again.mesh.points, c.construct.mesh.points);
}

// Requirement: a rotation past the safe point is a warning, not a refusal.
TEST(Construct, WarnsPastTheSafeRotation)
{
  for (const double target : {15.0, 0.0})
    EXPECT_TRUE(case_at(target).construct.warnings.empty());
  // Hand calculation, plateau 35 deg, saw radius 30: the cranial end of the joint surface lies at 14.5 sin 35 - 14.5^2/(2*26) cos 35
  // = 5.00 mm, the insertion at -14 mm, so safe = asin(5.00/30) + asin(14/30) = 9.6 + 27.8 = 37.4 deg; 35 to -5 turns 40 deg.
  Scenario steep                     = coarse_scenario();
  steep.tibia.plateau_angle_deg      = 35;
  steep.levelling.saw_radius_mm      = 30;
  steep.mesh.bone_size_mm            = 5;
  const Anatomy              a       = make_anatomy(steep);
  const std::vector<std::string> said = mesh_construct(steep, a, plan_levelling(steep, a, radians(-5))).warnings;
  ASSERT_EQ(said.size(), 1u);
  EXPECT_NE(said[0].find("40.0 deg"), std::string::npos) << said[0];
  EXPECT_NE(said[0].find("37.4 deg"), std::string::npos) << said[0];
}
