// models/joint/meniscus_rim.h - a meniscus as a ring of springs on the plateau that slides with the condyle and escapes outwards
//   frame   tibia; forces act on the tibia (rim and horns together)
//   law     each cell of the rim carries k h along the femoral normal, h = depth of its upper edge in the condyle; 1 / k = thickness
//           / (axial modulus * area) + (outward part of the normal)^2 / (hoop stiffness): the wedge is pushed out against the
//           hoop tension. In the reference pose every cell just touches. The rim slides along the chord against its horns; the
//           slide is found for each pose, so the bed stays elastic (energy) and `slope` is exact. Worked out in the frame of the
//           femoral surface, several cells at once (models/joint/lanes.h)
//   bones   parametric (torus on paraboloid), or a user's: the rim lies on the triangles of the tibia and touches the distance grid of
//           the femur, stated in the unoperated joint and moved with the cut piece. The exact derivative is that of the grid
//   limits  cells are points; hoop stiffness acts cell by cell; after removal of the caudal pole the hoop keeps a part (assumption)
//   source  wedge and hoop: mechanics in DEVELOPERS.md "Joint"; moduli: models/parts/joint_parts.yaml
#pragma once
#include "models/joint/condyle_bed.h"
#include "models/joint/distance_grid.h"
#include "models/joint/surface_at.h"
#include <functional>
#include <memory>

namespace stifle
{
/// One cell of a rim in the pose of reference, whatever its stiffness.
struct RimPlace
{
  double angle_rad;  ///< about the middle of the rim: 0 away from the intercondylar space, positive towards cranial
  double part_rad;   ///< of the cell
  Vector3 offset_mm; ///< from the middle of the rim, tibia frame
  Vector3 point_mm;  ///< upper edge: where the femur is touched
  Vector3 outward;   ///< femoral normal there
};
/// Cells of a whole rim. `base`: point of the plateau at chord coordinates (s, y), nothing beside the bone; `femur`: how a point
/// lies against the femur. A cell that finds no bone below or no femur above is left out.
std::vector<RimPlace> rim_places(const Meniscus &meniscus, const PlateauFrame &frame,
                                 const std::function<std::optional<Vector3>(double, double)> &base,
                                 const std::function<SurfaceDistance(const Vector3 &)> &femur, int cells = BedRule().rim_cells);
/// As condyle_distance, for a user's femur. Where the grid does not know: outside, as far as it surely is.
SurfaceDistance grid_distance(const DistanceGrid &femur_surface, const RigidPose &femur, const Vector3 &point_mm);

class MeniscusRim
{
public:
  /// `plateau_bed` gives the surface the rim lies on and the number of cells; `reference` is the pose in which the rim touches the condyle.
  MeniscusRim(const Meniscus &meniscus, const Condyle &condyle, const CondyleBed &plateau_bed, const PlateauFrame &frame,
              const RigidPose &reference);
  /// On a user's bones: `places`, chord and poses as in the unoperated joint; `segment` as in SurfaceBed::wrench.
  MeniscusRim(const Meniscus &meniscus, std::shared_ptr<const DistanceGrid> femur, const std::vector<RimPlace> &places,
              const Vector3 &chord, const RigidPose &segment);
  /// Empty wrench when the meniscus is removed.
  BedWrench wrench(const RigidPose &femur) const;
  /// Slide along the chord (cranial positive) at that pose.
  double slide_mm(const RigidPose &femur) const;
  std::size_t n_cells() const { return cells_.size(); }

  struct Cell
  {
    Vector3 point_mm; ///< upper edge, rim at rest; tibia frame, of the unoperated tibia for a user's bones
    double stiffness, area_mm2;
  };
  const std::vector<Cell> &cells() const { return cells_; }

private:
  /// Cells side by side; the last lanes may be filled up with cells without stiffness.
  struct CellLanes
  {
    SpringLanes point[3], stiffness, area;
  };
  struct Seen;
  void add_cells(const Meniscus &meniscus, const std::vector<RimPlace> &places);
  void add_cell(const Cell &cell);
  Seen seen_from(const RigidPose &femur) const;
  SurfaceAt<SpringLanes> meet(const SpringLanes (&point)[3], const SpringLanes &stiffness) const;
  double slide_there(const Seen &seen) const;

  Condyle condyle_;
  std::shared_ptr<const DistanceGrid> grid_; ///< a user's femur in the place of the condyle
  RigidPose segment_;                        ///< with it: motion of the piece that carries the rim
  Vector3 chord_;
  double horn_stiffness_, free_slide_;
  std::vector<Cell> cells_;
  std::vector<CellLanes> lanes_; ///< the same cells
};
} // namespace stifle
