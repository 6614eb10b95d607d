#include "models/core/error.h"
#include "viz/chart.h"
#include "viz/construct_view.h"
#include "viz/picture.h"
#include "viz/sheet.h"
#include "viz/try_picture.h"
#include "viz/vtu.h"
#include <fmt/format.h>

namespace stifle::viz
{
namespace
{
constexpr int width = 1500, height = 1270;

void draw_colour_bar(Canvas &canvas, const ConstructScene &scene)
{
  const double left = 250, right = width - 250, low = 78 + caution_room, high = low + 28;
  constexpr int steps = 160;
  for (int i = 0; i < steps; ++i)
  {
    const double a = left + (right - left) * i / steps, b = left + (right - left) * (i + 1) / steps + 0.5;
    canvas.polygon(rectangle({a, low}, {b, high}), stress_colour((i + 0.5) / steps));
  }
  canvas.frame({left, low}, {right, high}, ink, 1.5);
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
  const double bottom = 160 + caution_room, top = height - 140, middle = width / 2.0;
  const std::vector<View> views = {medial_view(left_limb, {20, bottom}, {middle - 10, top}),
                                   cranial_view(left_limb, {middle + 10, bottom}, {width - 20.0, top})};
  const double mm_per_pixel = common_scale(views, scene);
  for (const View &view : views)
    draw_view(canvas, view, scene, mm_per_pixel);
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
