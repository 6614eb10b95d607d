#include "mesh/bone_shape.h"
#include "models/core/error.h"
#include <gmsh.h>

namespace stifle::mesh
{
namespace
{
// Tibia of 200 mm. Assumption: round numbers that give a plateau about 44 mm wide and 34 mm from front to back, a shaft
// about 17 mm thick and an end at the hock of about 22 x 16 mm. The crest runs from the tendon insertion to about z = -75.
//                               z  caudal cranial  half  flat  flat  ridge
constexpr BoneSection table[] = {{12, -19, 13, 22, -14, 7, 12},          //
                                 {0, -18.5, 19, 22, -14, 8, 10},         //
                                 {-14, -17, 31, 19.5, -13, 9, 5.5},      // the tendon insertion: z and cranial from the anatomy
                                 {-26, -14.5, 29, 16.5, -11, 8, 5},      //
                                 {-42, -11.5, 21.5, 12.5, -8, 6.5, 4.5}, //
                                 {-58, -9.5, 14.5, 10, -6, 5.5, 4.5},    //
                                 {-82, -8.5, 9, 8.5, -5.5, 5.5, 5},      //
                                 {-120, -8.2, 8.2, 8.2, -5.3, 5.3, 4.5}, //
                                 {-160, -8, 8, 8.5, -5.2, 5.2, 4.5},     //
                                 {-200, -8, 8, 11, -5.5, 5.5, 6}};
constexpr std::size_t tip_section = 2, crest_end_section = 6;
constexpr double reference_length_mm = 200;

std::vector<Vector3> half_curve(const BoneSection &s, double side)
{
  const double middle = 0.5 * (s.flat_caudal + s.flat_cranial);
  const auto point = [&](double x, double y) { return Vector3(x, side * y, s.z); };
  return {point(s.caudal, 0),
          point(s.caudal, 0.5 * s.half_width),
          point(s.flat_caudal, s.half_width),
          point(middle, s.half_width),
          point(s.flat_cranial, s.half_width),
          point(s.cranial, s.ridge),
          point(s.cranial, 0)};
}

int half_spline(const std::vector<Vector3> &controls, int first, int last)
{
  std::vector<int> points = {first};
  for (std::size_t i = 1; i + 1 < controls.size(); ++i)
    points.push_back(gmsh::model::occ::addPoint(controls[i].x(), controls[i].y(), controls[i].z()));
  points.push_back(last);
  return gmsh::model::occ::addBSpline(points);
}
} // namespace

std::vector<BoneSection> bone_sections(const Anatomy &anatomy)
{
  const double k = anatomy.tibia_length_mm / reference_length_mm;
  std::vector<BoneSection> sections;
  for (BoneSection s : table)
  {
    for (double *v : {&s.z, &s.caudal, &s.cranial, &s.half_width, &s.flat_caudal, &s.flat_cranial, &s.ridge})
      *v *= k;
    sections.push_back(s);
  }
  // The crest goes along with the insertion, less and less towards its end.
  const double tip = sections[tip_section].z, end = sections[crest_end_section].z;
  const double dz = anatomy.tendon_insertion.z() - tip, dx = anatomy.tendon_insertion.x() - sections[tip_section].cranial;
  for (std::size_t i = tip_section + 1; i < crest_end_section; ++i)
  {
    const double part = (sections[i].z - end) / (tip - end);
    sections[i].z += part * dz;
    sections[i].cranial += part * dx;
  }
  sections[tip_section].z = anatomy.tendon_insertion.z();
  sections[tip_section].cranial = anatomy.tendon_insertion.x();
  sections.back().z = anatomy.hock_centre.z();
  return sections;
}

std::vector<BoneSection> core_sections(const Anatomy &anatomy, double cortex_mm)
{
  std::vector<BoneSection> sections = bone_sections(anatomy);
  for (BoneSection &s : sections)
  {
    s.caudal += cortex_mm;
    s.half_width -= cortex_mm;
    s.flat_caudal += 0.3 * cortex_mm;
    s.flat_cranial -= 0.3 * cortex_mm;
    // The ridge is narrow: its skin meets the section plane at a slope, so the core stays farther back.
    s.cranial -= (s.cranial > 1.3 * s.half_width ? 2.0 : 1.0) * cortex_mm;
    s.ridge = std::max(s.ridge - 0.5 * cortex_mm, 0.4 * s.ridge);
  }
  sections.back().z += 2 * cortex_mm;
  return sections;
}

int loft(const std::vector<BoneSection> &sections)
{
  std::vector<SectionCurve> curves;
  for (const BoneSection &s : sections)
    curves.push_back({half_curve(s, 1), half_curve(s, -1)});
  return loft(curves);
}

int loft(const std::vector<SectionCurve> &sections)
{
  std::vector<int> wires;
  for (const SectionCurve &s : sections)
  {
    const Vector3 &a = s.medial.front(), &b = s.medial.back();
    const int caudal = gmsh::model::occ::addPoint(a.x(), a.y(), a.z());
    const int cranial = gmsh::model::occ::addPoint(b.x(), b.y(), b.z());
    const int medial = half_spline(s.medial, caudal, cranial);
    const int lateral = half_spline(s.lateral, caudal, cranial);
    wires.push_back(gmsh::model::occ::addWire({medial, lateral}));
  }
  gmsh::vectorpair out;
  gmsh::model::occ::addThruSections(wires, out, -1, true, false, 3);
  for (const auto &[dim, tag] : out)
    if (dim == 3)
      return tag;
  throw Error("bone: the loft through the sections gave no solid");
}

int trim_plateau(int solid, const Anatomy &anatomy, double below_mm)
{
  const double size = 2 * anatomy.tibia_length_mm; // larger than the bone
  // A box whose lower face is the plane z = -below_mm, turned about y so that it follows the chord.
  const int box = gmsh::model::occ::addBox(-size, -size, -below_mm, 2 * size, 2 * size, size);
  gmsh::model::occ::rotate({{3, box}}, 0, 0, 0, 0, 1, 0, -anatomy.plateau_angle_rad);
  gmsh::vectorpair out;
  std::vector<gmsh::vectorpair> map;
  gmsh::model::occ::cut({{3, solid}}, {{3, box}}, out, map);
  if (out.size() != 1)
    throw Error("bone: the plateau plane does not leave one piece of bone");
  return out[0].second;
}
} // namespace stifle::mesh
