#include "viz/construct_view.h"
#include "viz/chart.h"
#include <algorithm>
#include <fmt/format.h>
#include <vtkActor.h>
#include <vtkCamera.h>
#include <vtkRenderer.h>

namespace stifle::viz
{
namespace
{
constexpr double free_sides = 170, free_ends = 40; // pixels of a view: arrows stand beside the bone

/// Parallel camera that looks at the middle of the box; `mm_per_pixel` is common to all views.
void place_camera(vtkRenderer &renderer, const View &view, const ConstructScene &scene, double mm_per_pixel)
{
  const Vector3 middle = (scene.low + scene.high) / 2, eye = middle + 1000 * view.towards_eye;
  vtkCamera &camera = *renderer.GetActiveCamera();
  camera.SetFocalPoint(middle.data());
  camera.SetPosition(eye.data());
  camera.SetViewUp(0, 0, 1);
  camera.SetParallelScale((view.high.y() - view.low.y()) / 2 * mm_per_pixel);
  for (const auto &actor : scene.actors)
    renderer.AddActor(actor);
  renderer.SetUseDepthPeeling(1); // translucent surfaces in the right order
  renderer.SetMaximumNumberOfPeels(12);
  renderer.SetOcclusionRatio(0.02);
  renderer.ResetCameraClippingRange();
}

/// Two small arrows in the corner of a view; the eye directions make them exact.
void draw_axes(Canvas &canvas, const View &view)
{
  TextStyle style{18, ink, AlignX::left, AlignY::centre};
  const Pixel origin = view.low + (view.arrow_left ? Pixel(150, 30) : Pixel(24, 30));
  const Pixel side = origin + Pixel(view.arrow_left ? -52 : 52, 0);
  canvas.arrow(origin, side, ink, 3);
  canvas.arrow(origin, origin + Pixel(0, 52), ink, 3);
  style.x = view.arrow_left ? AlignX::right : AlignX::left;
  canvas.text(side + Pixel(view.arrow_left ? -6 : 6, 0), view.sideways, style);
  style.x = AlignX::centre;
  style.y = AlignY::bottom;
  canvas.text(origin + Pixel(view.arrow_left ? 0 : 24, 58), "proximal", style);
}

/// To the right of the picture, seen from the eye.
Vector3 rightwards(const View &view) { return Vector3(0, 0, 1).cross(view.towards_eye).normalized(); }
} // namespace

View medial_view(bool left_limb, const Pixel &low, const Pixel &high)
{
  return {"medial view", "cranial", Vector3(0, left_limb ? -1 : 1, 0), !left_limb, low, high};
}

View cranial_view(bool left_limb, const Pixel &low, const Pixel &high)
{
  return {"cranial view", "medial", Vector3(1, 0, 0), left_limb, low, high};
}

double common_scale(const std::vector<View> &views, const ConstructScene &scene)
{
  const Vector3 size = scene.high - scene.low;
  double mm_per_pixel = 1e-6;
  for (const View &view : views)
  {
    const Pixel room = view.high - view.low - Pixel(free_sides, free_ends);
    mm_per_pixel = std::max({mm_per_pixel, size.z() / room.y(), std::max(size.x(), size.y()) / room.x()});
  }
  return mm_per_pixel;
}

Pixel project(const View &view, const ConstructScene &scene, double mm_per_pixel, const Vector3 &point)
{
  const Vector3 from_middle = (point - (scene.low + scene.high) / 2) / mm_per_pixel;
  return (view.low + view.high) / 2 + Pixel(from_middle.dot(rightwards(view)), from_middle.z());
}

void draw_view(Canvas &canvas, const View &view, const ConstructScene &scene, double mm_per_pixel)
{
  place_camera(canvas.view(view.low, view.high), view, scene, mm_per_pixel);
  canvas.text({(view.low.x() + view.high.x()) / 2, view.high.y() + 4}, view.name, {24, ink, AlignX::centre, AlignY::bottom, true});
  draw_axes(canvas, view);
}

void draw_scale(Canvas &canvas, const Pixel &right_end, double mm_per_pixel)
{
  const double length_mm = round_down_125(140 * mm_per_pixel);
  const Pixel left_end = right_end - Pixel(length_mm / mm_per_pixel, 0);
  canvas.line({left_end, right_end}, ink, 3);
  for (const Pixel &end : {left_end, right_end})
    canvas.line({end - Pixel(0, 6), end + Pixel(0, 6)}, ink, 2);
  canvas.text((left_end + right_end) / 2 + Pixel(0, 9), fmt::format("{:g} mm", length_mm),
              {18, ink, AlignX::centre, AlignY::bottom});
}
} // namespace stifle::viz
