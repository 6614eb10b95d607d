// solver/screw_shaft.h - hot spot of each screw where it leaves the bone, read at a stated distance from that tied line
//   rule    the stress at the line itself grows with every refinement, so it is read 0.5 mm from the entry (construct.md section 9:
//           "read hot spot at 0.5 mm"): on the plane across the axis 0.5 mm outside, if the plate is another 0.5 mm away (its
//           tied head is such a line too), and on the one 0.5 mm inside; the larger von Mises stands
//   value   recovered stress, quadratic along the element edges that cross the plane; the largest of these points
//   nominal 32 M / (pi d^3) + 4 |F| / (pi d^2) of the core, from the thread forces beyond that plane (construct.md 1.2, 1.13)
//   limits  no notch of the thread: the core is a smooth cylinder. The entry is where the axis meets the bone, so on a leaning
//           surface the distance along the skin differs from 0.5 mm
#pragma once
#include "mesh/construct.h"
#include "solver/elasticity.h"
#include "solver/results.h"
#include <functional>

namespace stifle::solver
{
constexpr double shaft_reading_mm = 0.5;

class ScrewShafts
{
public:
  /// Both are borrowed.
  ScrewShafts(const mesh::ConstructMesh &construct, const Elasticity &elasticity);
  /// One row per screw that has elements across one of its planes. `thread_force`: nodal, on the elements.
  std::vector<ScrewShaft> results(const RecoveredStress &stress, const Vector &thread_force) const;

  using CellEntries = std::vector<std::array<unsigned, 10>>;                 ///< as RecoveredStress::cell_entries
  using StressAt    = std::function<std::array<double, 6>(unsigned entry)>; ///< recovered
  std::vector<ScrewShaft> results(const CellEntries &entries, const StressAt &stress, const Eigen::Ref<const Vector> &thread_force) const;
  /// The entries that results() reads.
  std::vector<unsigned> entries_read(const CellEntries &entries) const;

private:
  struct Crossing
  {
    std::size_t cell;
    int         from, to, middle; ///< nodes of the cell
    double      share;            ///< 0 at `from`, 1 at `to`
  };
  struct Section
  {
    double                outside_mm; ///< of the entry; < 0 inside the bone
    std::vector<Crossing> crossings; ///< each edge once
  };
  struct Shaft
  {
    Vector3               outward;
    std::vector<Section>  sections;
    std::vector<unsigned> thread_nodes;
  };
  std::vector<Crossing> crossings_of(std::size_t cell, const Vector3 &outward, double height) const;
  double                nominal_mpa(std::size_t screw, double outside_mm, const Eigen::Ref<const Vector> &thread_force) const;
  const mesh::ConstructMesh &construct_;
  const Elasticity          &elasticity_;
  std::vector<Shaft>         shafts_;
};

/// The largest principal stress, MPa; at least 0.
double largest_tension_mpa(const std::array<double, 6> &stress);
} // namespace stifle::solver
