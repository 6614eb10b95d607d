// viz/construct_view.h - two views of a construct side by side on a sheet, with their arrows, scale and the way from mm to pixels
//   frame  of the scene (a left limb is mirrored);  parallel projection, proximal is up
#pragma once
#include "viz/canvas.h"
#include "viz/construct_scene.h"

namespace stifle::viz
{
struct View
{
  std::string name, sideways; ///< "medial view"; the anatomical direction drawn along the level arrow
  Vector3 towards_eye;
  bool arrow_left; ///< the level arrow points to the left of the picture
  Pixel low, high;
};

View medial_view(bool left_limb, const Pixel &low, const Pixel &high);
View cranial_view(bool left_limb, const Pixel &low, const Pixel &high);

/// Common to both views, so that the scene fits into each of them.
double common_scale(const std::vector<View> &views, const ConstructScene &scene);
/// Where a point of the scene lies on the sheet.
Pixel project(const View &view, const ConstructScene &scene, double mm_per_pixel, const Vector3 &point);
/// The scene, the name of the view above it, and its two arrows.
void draw_view(Canvas &canvas, const View &view, const ConstructScene &scene, double mm_per_pixel);
void draw_scale(Canvas &canvas, const Pixel &right_end, double mm_per_pixel);
} // namespace stifle::viz
