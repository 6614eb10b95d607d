// benchmarks/surface_bed/bench.cc - time of one call of a bed between two surfaces of triangles
//   femur    sphere of radius 13 mm, 20 480 triangles, cells of 0.5 mm
//   tibia    convex plateau of radius 26 mm, triangles of about 0.45 mm, 5 000 points in one compartment
//   rim      the medial meniscus of the default dog between the two
//   prints   time to build the grid, then points, points in contact and microseconds of processor time a call of bed and rim, by
//            depth, and force and peak of the bed against one with points and cells of half the size (four times the points,
//            eight times the nodes), on the same triangles and on triangles of half the size
#include "models/joint/meniscus_rim.h"
#include "models/joint/surface_bed.h"
#include "tests/support/shapes.h"
#include <ctime>
#include <fmt/format.h>

using namespace stifle;

double seconds() { return double(std::clock()) / CLOCKS_PER_SEC; }

SurfaceBed bed_of(int divisions, std::shared_ptr<const DistanceGrid> femur, double size)
{
  SurfaceBed::Options options;
  options.point_size_mm = size;
  options.mask = {Vector3(-14.5, -8, 0), Vector3(14.5, 8, 30), Vector3::UnitZ()};
  return SurfaceBed(test::sphere(26, divisions), std::move(femur), options);
}

/// Just touched with the femur resting on the plateau.
MeniscusRim rim_of(std::shared_ptr<const DistanceGrid> femur)
{
  Meniscus meniscus;
  meniscus.centre_y_mm = 0.5;
  RigidPose rest;
  rest.shift_mm = Vector3(0, 0, 26 + 13);
  const auto base = [](double s, double y) { return std::optional<Vector3>(Vector3(s, y, std::sqrt(26 * 26 - s * s - y * y))); };
  const auto above = [&](const Vector3 &point) { return grid_distance(*femur, rest, point); };
  const auto places = rim_places(meniscus, PlateauFrame(), base, above);
  return MeniscusRim(meniscus, femur, places, Vector3::UnitX(), {});
}

template <class Call> double microseconds(double depth, const Call &call)
{
  constexpr int n_calls = 5000;
  RigidPose pose;
  const double before = seconds();
  for (int i = 0; i < n_calls; ++i)
  {
    pose.shift_mm = Vector3(0.1 + 1e-5 * i, 0.2, 26 + 13 - depth);
    call(pose);
  }
  return 1e6 * (seconds() - before) / n_calls;
}

int main()
{
  const double start = seconds();
  const auto femur = std::make_shared<const DistanceGrid>(test::sphere(13, 5), GridOptions{0.5});
  fmt::print("grid of {} nodes: {:.2f} s\n", femur->n_nodes(), seconds() - start);
  const SurfaceBed bed = bed_of(6, femur, 0.6); // no triangle is divided
  const auto fine_femur = std::make_shared<const DistanceGrid>(test::sphere(13, 5), GridOptions{0.25});
  const SurfaceBed fine = bed_of(6, fine_femur, 0.3),
                   faceted = bed_of(7, std::make_shared<const DistanceGrid>(test::sphere(13, 6), GridOptions{0.25}), 0.3);
  const MeniscusRim rim = rim_of(femur);
  double load = 0;
  for (const double depth : {-5.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0})
  {
    const double bed_us = microseconds(depth, [&](const RigidPose &pose) { load += bed.wrench(pose).load_n; });
    const double rim_us = microseconds(depth, [&](const RigidPose &pose) { load += rim.wrench(pose).load_n; });
    RigidPose pose;
    pose.shift_mm = Vector3(0.1, 0.2, 26 + 13 - depth);
    const BedWrench here = bed.wrench(pose), finer = fine.wrench(pose), smooth = faceted.wrench(pose);
    const auto off = [&](const BedWrench &other)
    { return other.load_n > 0 ? 100 * (here.on_tibia - other.on_tibia).head<3>().norm() / other.load_n : 0; };
    const auto peak_off = [&](const BedWrench &other)
    { return other.load_n > 0 ? 100 * (here.peak_mpa / other.peak_mpa - 1) : 0; };
    fmt::print("depth {:5.2f} mm  points {}  in contact {:5.0f}  load {:6.1f} N  bed {:6.1f} us  rim of {} cells {:5.1f} us  "
               "off a finer bed: force {:.2f} %, peak {:+.2f} %; on finer triangles too: force {:.2f} %, peak {:+.2f} %\n",
               depth, bed.n_points(), here.area_mm2 / bed.area_mm2() * double(bed.n_points()), here.load_n, bed_us, rim.n_cells(),
               rim_us, off(finer), peak_off(finer), off(smooth), peak_off(smooth));
  }
  return load > 0 ? 0 : 1;
}
