// benchmarks/surface_bed/bench.cc - time of one call of a bed between two surfaces of triangles
//   femur    sphere of radius 13 mm, 20 480 triangles, cells of 0.5 mm
//   tibia    convex plateau of radius 26 mm, triangles of about 0.45 mm, 5 000 points in one compartment
//   prints   time to build the grid, then points, points in contact and microseconds of processor time a call, by depth
#include "models/joint/surface_bed.h"
#include "tests/models/parts/shapes.h"
#include <ctime>
#include <fmt/format.h>

using namespace stifle;

double seconds() { return double(std::clock()) / CLOCKS_PER_SEC; }

int main()
{
  const double start = seconds();
  const auto femur = std::make_shared<const DistanceGrid>(test::sphere(13, 5), GridOptions{0.5});
  fmt::print("grid of {} nodes: {:.2f} s\n", femur->n_nodes(), seconds() - start);
  SurfaceBed::Options options;
  options.point_size_mm = 0.6; // no triangle is divided
  options.mask = {Vector3(-14.5, -8, 0), Vector3(14.5, 8, 30), Vector3::UnitZ()};
  const SurfaceBed bed(test::sphere(26, 6), femur, options);
  constexpr int n_calls = 5000;
  for (const double depth : {-5.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 1.0})
  {
    RigidPose pose;
    double load = 0;
    const double before = seconds();
    for (int i = 0; i < n_calls; ++i)
    {
      pose.shift_mm = Vector3(0.1 + 1e-5 * i, 0.2, 26 + 13 - depth);
      load += bed.wrench(pose).load_n;
    }
    const double micro = 1e6 * (seconds() - before) / n_calls;
    fmt::print("depth {:5.2f} mm  points {}  in contact {:5.0f}  load {:6.1f} N  {:6.1f} us\n", depth, bed.n_points(),
               bed.wrench(pose).area_mm2 / bed.area_mm2() * double(bed.n_points()), load / n_calls, micro);
  }
}
