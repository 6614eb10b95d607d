#include "models/core/error.h"
#include "viz/canvas.h"
#include "viz/construct_scene.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include "viz/vtu.h"
#include <fmt/format.h>
#include <vtkActor.h>
#include <vtkCamera.h>
#include <vtkRenderer.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 1270;

struct View
{
  std::string name, sideways; ///< "medial view"; the anatomical direction drawn along the level arrow
  Vector3 towards_eye;
  bool arrow_left; ///< the level arrow points to the left of the picture
  Pixel low, high;
};

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

void draw_colour_bar(Canvas &canvas, const ConstructScene &scene)
{
  const double left = 250, right = width - 250, low = 78 + caution_room, high = low + 28;
  constexpr int steps = 160;
  for (int i = 0; i < steps; ++i)
  {
    const double a = left + (right - left) * i / steps, b = left + (right - left) * (i + 1) / steps + 0.5;
    canvas.polygon({{a, low}, {b, low}, {b, high}, {a, high}}, stress_colour((i + 0.5) / steps));
  }
  canvas.line({{left, low}, {right, low}, {right, high}, {left, high}, {left, low}}, ink, 1.5);
  const double step = round_down_125(scene.top_mpa / 4); // 4 to 8 ticks on round values
  for (double value = 0; value <= scene.top_mpa * 1.0001; value += step)
  {
    const double x = left + (right - left) * value / scene.top_mpa;
    canvas.line({{x, low - 7}, {x, low}}, ink, 1.5);
    canvas.text({x, low - 10}, fmt::format("{:.4g}", value), {20, ink, AlignX::centre, AlignY::top});
  }
  canvas.text({width / 2.0, high + 8}, "von Mises stress, MPa", {22, ink, AlignX::centre, AlignY::bottom});
  const char *what = scene.metal ? "plate and screws" : "bone";
  canvas.text({width / 2.0, 10 + caution_room},
              scene.peak_mpa > scene.top_mpa
                  ? fmt::format("largest in {}: {:.0f} MPa (single points at tied or sharp lines; drawn in the end colour)", what,
                                scene.peak_mpa)
                  : fmt::format("largest in {}: {:.3g} MPa", what, scene.peak_mpa),
              {18, ink, AlignX::centre, AlignY::bottom});
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

SheetWords words_of(const ConstructPicture &picture, const ConstructScene &scene, bool left_limb)
{
  std::string second =
      fmt::format("{} limb; deformation drawn {:g} times", left_limb ? "left" : "right", scene.deformation_scale);
  if (scene.metal)
    second += "; bone translucent";
  if (scene.cropped)
    second += fmt::format(", left out further than {:g} mm below the plate", bone_below_mm);
  return {picture.title, {second}, picture.caution};
}

void draw(const ConstructPicture &picture, const ConstructScene &scene, bool left_limb)
{
  Canvas canvas(width, height);
  const double bottom = 160 + caution_room, top = height - 140, middle = width / 2.0, medial = left_limb ? -1 : 1;
  const View views[] = {{"medial view", "cranial", Vector3(0, medial, 0), !left_limb, {20, bottom}, {middle - 10, top}},
                        {"cranial view", "medial", Vector3(1, 0, 0), left_limb, {middle + 10, bottom}, {width - 20.0, top}}};
  const Vector3 size = scene.high - scene.low;
  const double mm_per_pixel =
      std::max({size.z() / (top - bottom - 40), size.x() / (middle - 200), size.y() / (middle - 200), 1e-6});
  for (const View &view : views)
  {
    place_camera(canvas.view(view.low, view.high), view, scene, mm_per_pixel);
    canvas.text({(view.low.x() + view.high.x()) / 2, top + 4}, view.name, {24, ink, AlignX::centre, AlignY::bottom, true});
    draw_axes(canvas, view);
  }
  draw_scale(canvas, {width - 40.0, bottom + 24}, mm_per_pixel);
  draw_colour_bar(canvas, scene);
  draw_sheet(canvas, words_of(picture, scene, left_limb));
  canvas.save(picture.png);
}
} // namespace

bool draw_construct(const ConstructPicture &picture, std::string *why)
{
  return try_picture(picture.vtu, why,
                     [&]
                     {
                       bool left_limb = false;
                       const FieldData field = read_vtu(picture.vtu, &left_limb);
                       if (field.cells.empty())
                         throw Error("the file holds no cells");
                       draw(picture, build_scene(field, picture.deformation_scale, picture.top_mpa), left_limb);
                     });
}
} // namespace stifle::viz
