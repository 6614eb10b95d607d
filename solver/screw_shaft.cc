#include "solver/screw_shaft.h"
#include "solver/reference_element.h"
#include <Eigen/Eigenvalues>
#include <set>

namespace stifle::solver
{
namespace
{
// Along an edge with its middle node: the quadratic through three values.
std::array<double, 6> along_edge(const std::array<double, 6> &from, const std::array<double, 6> &middle,
                                 const std::array<double, 6> &to, double t)
{
  std::array<double, 6> s;
  for (int k = 0; k < 6; ++k)
    s[k] = (1 - t) * (1 - 2 * t) * from[k] + 4 * t * (1 - t) * middle[k] + t * (2 * t - 1) * to[k];
  return s;
}

std::vector<unsigned> thread_nodes_of(const mesh::TetMesh &mesh, const Elasticity &elasticity, int part)
{
  std::set<unsigned> nodes;
  for (const mesh::FacePair &face : mesh.threads)
    if (static_cast<int>(face.part_a) == part)
      for (const unsigned node : elasticity.face_nodes(face.a))
        nodes.insert(node);
  return {nodes.begin(), nodes.end()};
}
} // namespace

double largest_tension_mpa(const std::array<double, 6> &s)
{
  Matrix3 sigma;
  sigma << s[0], s[3], s[5], s[3], s[1], s[4], s[5], s[4], s[2];
  return std::max(0.0, Eigen::SelfAdjointEigenSolver<Matrix3>(sigma, Eigen::EigenvaluesOnly).eigenvalues()(2));
}

ScrewShafts::ScrewShafts(const mesh::ConstructMesh &construct, const Elasticity &elasticity)
  : construct_(construct), elasticity_(elasticity)
{
  for (const mesh::ConstructMesh::Screw &screw : construct.screws)
  {
    const int part = construct.mesh.find_part(screw.name);
    Shaft     shaft{(screw.entry - screw.tip).normalized(), {}, thread_nodes_of(construct.mesh, elasticity, part)};
    for (const double outside_mm : {shaft_reading_mm, -shaft_reading_mm})
    {
      if (outside_mm > 0 && (screw.head - screw.entry).dot(shaft.outward) < outside_mm + shaft_reading_mm)
        continue; // the head is tied to the plate nearer than the rule allows: its own line of growing stress
      Section            section{outside_mm, {}};
      std::set<unsigned> edges; ///< by their middle node
      for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
        if (static_cast<int>(construct.mesh.part[c]) == part)
          for (const Crossing &x : crossings_of(c, shaft.outward, screw.entry.dot(shaft.outward) + outside_mm))
            if (edges.insert(elasticity.cells()[c][x.middle]).second)
              section.crossings.push_back(x);
      if (!section.crossings.empty())
        shaft.sections.push_back(std::move(section));
    }
    shafts_.push_back(std::move(shaft));
  }
}

std::vector<ScrewShafts::Crossing> ScrewShafts::crossings_of(std::size_t c, const Vector3 &outward, double height) const
{
  std::vector<Crossing> found;
  const Cell           &cell = elasticity_.cells()[c];
  for (int e = 0; e < 6; ++e)
  {
    const int    from = tetrahedron_edges[e][0], to = tetrahedron_edges[e][1];
    const double a = elasticity_.nodes()[cell[from]].dot(outward) - height, b = elasticity_.nodes()[cell[to]].dot(outward) - height;
    if (a != b && (a <= 0) != (b < 0))
      found.push_back({c, from, to, 4 + e, a / (a - b)});
  }
  return found;
}

double ScrewShafts::nominal_mpa(std::size_t screw, double outside_mm, const Eigen::Ref<const Vector> &thread_force) const
{
  const mesh::ConstructMesh::Screw &s = construct_.screws[screw];
  const Vector3                    &outward = shafts_[screw].outward, centre = s.entry + outside_mm * outward;
  Vector3                           force = Vector3::Zero(), moment = Vector3::Zero();
  for (const unsigned node : shafts_[screw].thread_nodes)
    if (const Vector3 arm = elasticity_.nodes()[node] - centre; arm.dot(outward) < 0)
    {
      const Vector3 f = thread_force.segment<3>(3 * node);
      force += f;
      moment += arm.cross(f);
    }
  if (!(s.core_mm > 0))
    return 0;
  const double bending = (moment - moment.dot(outward) * outward).norm();
  return 32 * bending / (pi * std::pow(s.core_mm, 3)) + 4 * std::abs(force.dot(outward)) / (pi * s.core_mm * s.core_mm);
}

std::vector<unsigned> ScrewShafts::entries_read(const CellEntries &entries) const
{
  std::vector<unsigned> read;
  for (const Shaft &shaft : shafts_)
    for (const Section &section : shaft.sections)
      for (const Crossing &x : section.crossings)
        for (const int node : {x.from, x.middle, x.to})
          read.push_back(entries[x.cell][node]);
  return read;
}

std::vector<ScrewShaft> ScrewShafts::results(const RecoveredStress &r, const Vector &thread_force) const
{
  return results(r.cell_entries, [&](unsigned entry) { return r.stress_mpa[entry]; }, thread_force);
}

std::vector<ScrewShaft> ScrewShafts::results(const CellEntries &entries, const StressAt &stress_at,
                                             const Eigen::Ref<const Vector> &thread_force) const
{
  std::vector<ScrewShaft> rows;
  for (std::size_t k = 0; k < shafts_.size(); ++k)
  {
    ScrewShaft row;
    row.screw = construct_.screws[k].name;
    for (const Section &section : shafts_[k].sections)
      for (const Crossing &x : section.crossings)
      {
        const auto  &entry  = entries[x.cell];
        const auto   stress = along_edge(stress_at(entry[x.from]), stress_at(entry[x.middle]), stress_at(entry[x.to]), x.share);
        const double mises = von_mises(stress), mean = (stress[0] + stress[1] + stress[2]) / 3;
        // No tension lies above mean + 2/3 von Mises; 1e-9 of it for rounding.
        if (mean + 2 * mises / 3 + 1e-9 * (mises + std::abs(mean)) > row.principal_mpa)
          row.principal_mpa = std::max(row.principal_mpa, largest_tension_mpa(stress));
        if (mises <= row.von_mises_mpa)
          continue;
        row.von_mises_mpa = mises;
        row.outside_mm    = section.outside_mm;
        const Cell &cell  = elasticity_.cells()[x.cell];
        row.place_mm      = (1 - x.share) * elasticity_.nodes()[cell[x.from]] + x.share * elasticity_.nodes()[cell[x.to]];
      }
    if (shafts_[k].sections.empty())
      continue;
    row.nominal_mpa = nominal_mpa(k, row.outside_mm, thread_force);
    rows.push_back(row);
  }
  return rows;
}
} // namespace stifle::solver
