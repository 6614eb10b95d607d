#include "scenarios/app/cut_map.h"
#include "models/core/files.h"
#include <algorithm>
#include <cmath>

namespace stifle::app
{
namespace
{
constexpr const char *touch_words[] = {"open", "stuck", "slip"}; // order of CutTouch

/// A map is looked at, not computed with: steps of 1e-5 keep the table short.
double rounded(double value) { return std::round(value * 1e5) / 1e5 + 0.0; } // no -0

void add_face(Table &table, const SlopeResult &slope, const CutMapFace &face)
{
  const Vector3 middle = (face.corners_mm[0] + face.corners_mm[1] + face.corners_mm[2]) / 3;
  const auto    arc    = [&](const Vector3 &p) { return rounded(arc_mm(p, slope.cut_centre_mm, slope.cut_radius_mm)); };
  for (int i = 0; i < 3; ++i)
    table.add(rounded(middle[i]));
  table.add(arc(middle));
  for (const double value : {face.area_mm2, 100 * face.touching, face.pressure_mpa, face.callus_mpa, face.opening_mm, face.slip_mm})
    table.add(rounded(value));
  table.add(touch_words[static_cast<int>(face.touch)]);
  for (const Vector3 &corner : face.corners_mm)
  {
    table.add(arc(corner));
    table.add(rounded(corner.y()));
  }
}
} // namespace

void keep_larger_load(std::vector<CutMap> &kept, CutMap map)
{
  if (map.faces.empty())
    return;
  const auto same = std::find_if(kept.begin(), kept.end(), [&](const CutMap &k) { return k.week == map.week; });
  if (same == kept.end())
    kept.push_back(std::move(map));
  else if (map.hock_force_n > same->hock_force_n)
    *same = std::move(map);
}

double arc_mm(const Vector3 &point, const Vector3 &centre, double radius_mm)
{
  return radius_mm * std::atan2(point.x() - centre.x(), centre.z() - point.z());
}

std::string cut_map_csv(const std::vector<SlopeResult> &slopes)
{
  Table table({"plateau_angle_deg", "week", "activity", "stance_percent", "face", "x_mm", "y_mm", "z_mm", "arc_mm", "area_mm2",
               "contact_percent", "pressure_mpa", "callus_mpa", "opening_mm", "slip_mm", "state", "arc_1_mm", "y_1_mm", "arc_2_mm",
               "y_2_mm", "arc_3_mm", "y_3_mm", "plateau_angle_target_deg"});
  for (const SlopeResult &slope : slopes)
    for (const CutMap &map : slope.cut_maps)
      for (std::size_t f = 0; f < map.faces.size(); ++f)
      {
        table.begin_row();
        table.add(slope.achieved_deg);
        table.add(map.week);
        table.add(map.activity);
        table.add(map.percent);
        table.add(double(f + 1));
        add_face(table, slope, map.faces[f]);
        table.add(slope.target_deg);
      }
  return table.csv();
}
} // namespace stifle::app
