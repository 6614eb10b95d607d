#include "tests/support/toy_construct.h"
#include "tests/support/tension_bar.h"

using stifle::FieldData;
using stifle::Vector3;

namespace
{
/// A bar of 3 x 2 x 12 mm moved into the box low..low + size.
void add_box(FieldData &all, const std::string &part, const Vector3 &low, const Vector3 &size)
{
  const FieldData bar = tension_bar();
  const unsigned offset = unsigned(all.points_mm.size());
  const int first = all.node.empty() ? 0 : all.node.back() + 1000;
  for (std::size_t i = 0; i < bar.points_mm.size(); ++i)
  {
    const Vector3 x = low + Vector3(bar.points_mm[i].cwiseQuotient(Vector3(3, 2, 12)).cwiseProduct(size));
    const double s = (x.z() + 160) / 160;
    all.points_mm.push_back(x);
    all.node.push_back(first + bar.node[i]);
    all.displacement_mm.emplace_back(0.3 * s * s, 0.1 * s, -0.05 * s);
    all.force_n.push_back(Vector3::Zero());
    all.von_mises_mpa.push_back(400 * std::exp(-std::pow((x.z() + 35) / 18, 2)));
    all.stress_mpa.push_back({{0, 0, all.von_mises_mpa.back(), 0, 0, 0}});
  }
  for (auto cell : bar.cells)
  {
    for (unsigned &p : cell)
      p += offset;
    all.cells.push_back(cell);
    all.part.push_back(int(all.part_names.size()));
    all.modulus_mpa.push_back(200000);
    all.poisson_ratio.push_back(0.3);
  }
  all.part_names.push_back(part);
}
} // namespace

FieldData toy_construct()
{
  FieldData all;
  add_box(all, "cortex_proximal", {-18, -12, -25}, {32, 24, 25});
  add_box(all, "cortex_distal", {-9, -9, -160}, {18, 18, 135});
  add_box(all, "plate", {-7.5, 12.8, -70}, {11, 3.3, 65});
  const double x[] = {-6, 1, -3, -3, -3, -3}, z[] = {-10, -10, -17, -36, -49, -62};
  for (int i = 0; i < 6; ++i)
    add_box(all, "screw_" + std::to_string(i + 1), {x[i], -11, z[i]}, {2.9, 24, 2.9});
  return all;
}
