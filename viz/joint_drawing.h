// viz/joint_drawing.h - one panel of the joint picture: sagittal section, cranial to the left (medial view of a right limb)
//   units  mm and N in, pixels out;  frame: tibia of a right limb, unoperated
//   The outlines are a sketch through the landmarks; forces, their places and the pose of the femur are computed. Forces and
//   places are projected on the sagittal plane, and so are the newtons beside the arrows.
#pragma once
#include "viz/canvas.h"
#include "viz/joint_rows.h"
#include "viz/joint_shape.h"

namespace stifle::viz
{
struct JointPanel
{
  Pixel low, high; ///< rectangle of the panel
  JointShape shape;
  double stifle_angle_rad = 0;
  double thrust_n = 0;
  bool torn = false;
  std::map<std::string, PosePoint> points;
  double mm_per_n = 0.1;
  double least_drawn_n = 2;              ///< smaller forces are left out: shorter than the head of an arrow
  std::optional<Vector3> intact_condyle; ///< where the condyle centre of the intact joint would lie on this plateau
  std::string heading;
  std::vector<std::string> lines; ///< below the drawing
};

/// The arrows of a panel: both contact centres as one resultant, everything else as it stands in `points`.
struct DrawnForce
{
  Vector3 at, force_n; ///< sagittal: y is 0
  std::string words;
  Colour colour;
};
std::vector<DrawnForce> drawn_forces(const std::map<std::string, PosePoint> &points);

/// Newtons a millimetre of bone stands for: 1, 2 or 5 times a power of ten, the largest force at most 50 mm long.
double force_scale_n_per_mm(double largest_n);

void draw_panel(Canvas &canvas, const JointPanel &panel);

/// Pixels per mm, the same for every panel.
double panel_pixels_per_mm(const JointPanel &panel);
} // namespace stifle::viz
