// viz/joint_drawing.h - one panel of the joint picture: sagittal section, cranial to the left (medial view of a right limb)
//   units  mm and N in, pixels out;  frame: tibia of a right limb, unoperated
//   The outlines are a sketch through the landmarks; forces and their places are computed.
#pragma once
#include "models/parts/levelling.h"
#include "viz/canvas.h"
#include "viz/joint_rows.h"

namespace stifle::viz
{
struct JointPanel
{
  Pixel low, high; ///< rectangle of the panel
  OperatedAnatomy bone;
  Anatomy whole; ///< before the operation
  double stifle_angle_rad = 0;
  double thrust_n = 0;
  bool torn = false;
  std::map<std::string, PosePoint> points;
  double mm_per_n = 0.1;
  std::string heading;
  std::vector<std::string> lines; ///< below the drawing
};

void draw_panel(Canvas &canvas, const JointPanel &panel);

/// Pixels per mm, the same for every panel.
double panel_pixels_per_mm(const JointPanel &panel);
} // namespace stifle::viz
