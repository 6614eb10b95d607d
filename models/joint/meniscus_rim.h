// models/joint/meniscus_rim.h - a meniscus as a ring of springs on the plateau that slides with the condyle and escapes outwards
//   frame   tibia; forces act on the tibia (rim and horns together)
//   law     each cell of the rim carries k h along the femoral normal, h = depth of its upper edge in the condyle; 1 / k = thickness
//           / (axial modulus * area) + (outward part of the normal)^2 / (hoop stiffness): the wedge is pushed out against the
//           hoop tension. In the reference pose every cell just touches. The rim slides along the chord against its horns; the
//           slide is found for each pose, so the bed stays elastic (energy) and `slope` is exact.
//   limits  cells are points; hoop stiffness acts cell by cell; after removal of the caudal pole the hoop keeps a part (assumption)
//   source  wedge and hoop: mechanics in DEVELOPERS.md "Joint"; moduli: models/parts/joint_parts.yaml
#pragma once
#include "models/joint/condyle_bed.h"

namespace stifle
{
class MeniscusRim
{
public:
  /// `plateau_bed` gives the surface the rim lies on; `reference` is the pose in which the rim touches the condyle.
  MeniscusRim(const Meniscus &meniscus, const Condyle &condyle, const CondyleBed &plateau_bed, const PlateauFrame &frame,
              const RigidPose &reference);
  /// Empty wrench when the meniscus is removed.
  BedWrench wrench(const RigidPose &femur) const;
  /// Slide along the chord (cranial positive) at that pose.
  double slide_mm(const RigidPose &femur) const;
  std::size_t n_cells() const { return cells_.size(); }

  struct Cell
  {
    Vector3 point_mm; ///< upper edge, tibia frame, rim at rest
    double stiffness, area_mm2;
  };
  const std::vector<Cell> &cells() const { return cells_; }

private:
  Condyle condyle_;
  Vector3 chord_;
  double horn_stiffness_, free_slide_;
  std::vector<Cell> cells_;
};
} // namespace stifle
