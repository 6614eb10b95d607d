#include "solver/construct_results.h"
#include "solver/reference_element.h"
#include <set>

namespace stifle::solver
{
SegmentTurn::SegmentTurn(const Elasticity &elasticity)
{
  for (unsigned component = 0; component < 2; ++component)
    measure(elasticity, component);
}

void SegmentTurn::measure(const Elasticity &elasticity, unsigned component)
{
  const mesh::TetMesh &mesh = elasticity.mesh();
  std::vector<Vector3> first(elasticity.n_nodes(), Vector3::Zero()); // integral of N x
  std::vector<double>  zeroth(elasticity.n_nodes(), 0);              // integral of N
  Vector3              centre = Vector3::Zero();
  Matrix3              second = Matrix3::Zero(); // integral of x x^T
  double               volume = 0;
  for (std::size_t c = 0; c < elasticity.cells().size(); ++c)
    for (const TetrahedronPoint &q : reference_element().stiffness_points)
    {
      if (mesh.component[mesh.part[c]] != component)
        continue;
      const Cell  &cell   = elasticity.cells()[c];
      const double weight = q.weight * elasticity.volume(c);
      Vector3      x      = Vector3::Zero();
      for (int i = 0; i < 4; ++i)
        x += q.barycentric(i) * elasticity.nodes()[cell[i]];
      for (int i = 0; i < 10; ++i)
      {
        first[cell[i]] += weight * q.shape(i) * x;
        zeroth[cell[i]] += weight * q.shape(i);
      }
      centre += weight * x;
      second += weight * x * x.transpose();
      volume += weight;
    }
  inertia_[component] = Matrix3::Identity();
  if (volume == 0)
    return;
  centre /= volume;
  second -= volume * centre * centre.transpose();
  inertia_[component] = second.trace() * Matrix3::Identity() - second;
  for (std::size_t i = 0; i < first.size(); ++i)
    if (first[i] != Vector3::Zero() || zeroth[i] != 0)
    {
      node_[component].push_back(static_cast<unsigned>(i));
      arm_[component].push_back(first[i] - zeroth[i] * centre);
    }
}

Vector3 SegmentTurn::rotation(const Vector &u, unsigned component) const
{
  Vector3 moment = Vector3::Zero();
  for (std::size_t i = 0; i < node_[component].size(); ++i)
    moment += arm_[component][i].cross(Vector3(u.segment<3>(3 * node_[component][i])));
  return inertia_[component].ldlt().solve(moment);
}

double SegmentTurn::plateau_drift_deg(const Vector &u) const
{
  // A turn about +y (right-handed) carries the cranial end down, so the slope falls by it.
  return -degrees(rotation(u, 0).y() - rotation(u, 1).y());
}

double cut_turn_deg(const CutFaces &cut, const std::vector<Vector3> &nodes, const Vector &w)
{
  Vector3 centre = Vector3::Zero(), moment = Vector3::Zero();
  Matrix3 inertia = Matrix3::Zero();
  if (cut.n_cut_pairs() == 0)
    return 0;
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
    centre += cut.pairs()[p].lumped_area / cut.area() * nodes[cut.pairs()[p].proximal];
  for (std::size_t p = 0; p < cut.n_cut_pairs(); ++p)
  {
    const CutFaces::Pair &pair = cut.pairs()[p];
    const Vector3         arm = nodes[pair.proximal] - centre, proximal = -pair.frame * w.segment<3>(3 * p);
    moment += pair.lumped_area * arm.cross(proximal);
    inertia += pair.lumped_area * (arm.squaredNorm() * Matrix3::Identity() - arm * arm.transpose());
  }
  return -degrees(inertia.ldlt().solve(moment).y());
}

ScrewSections::ScrewSections(const mesh::ConstructMesh &construct, const Elasticity &elasticity)
  : construct_(construct), elasticity_(elasticity)
{
  for (const auto &screw : construct.screws)
  {
    const int          part = construct.mesh.find_part(screw.name);
    std::set<unsigned> nodes;
    for (const mesh::FacePair &face : construct.mesh.threads)
      if (static_cast<int>(face.part_a) == part)
        for (const unsigned node : elasticity.face_nodes(face.a))
          nodes.insert(node);
    nodes_.emplace_back(nodes.begin(), nodes.end());
  }
}

std::vector<ScrewResult> ScrewSections::results(const Vector &thread_force) const
{
  std::vector<ScrewResult> results;
  for (std::size_t k = 0; k < nodes_.size(); ++k)
  {
    const auto &screw = construct_.screws[k];
    Vector3     bone = Vector3::Zero(), moment = Vector3::Zero(); // of the bone on the screw
    for (const unsigned node : nodes_[k])
    {
      const Vector3 f = thread_force.segment<3>(3 * node);
      bone += f;
      moment += (elasticity_.nodes()[node] - screw.entry).cross(f);
    }
    const Vector3 outward = (screw.entry - screw.tip).normalized();
    ScrewResult   r;
    r.screw       = screw.name;
    r.axial_n     = -bone.dot(outward);
    r.shear_n     = (bone - bone.dot(outward) * outward).norm();
    r.bending_nmm = (moment - moment.dot(outward) * outward).norm();
    results.push_back(r);
  }
  return results;
}
} // namespace stifle::solver
