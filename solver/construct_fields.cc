#include "solver/construct_fields.h"

namespace stifle::solver
{
void add_cut_force(const Elasticity &elasticity, const CutFaces &cut, const PlainHeads &heads, const Vector &u, Vector &nodal)
{
  Vector internal = Vector::Zero(nodal.size());
  elasticity.add_internal_force(u, internal);
  const auto transfer = [&](unsigned proximal, unsigned distal) {
    const Vector3 f = internal.segment<3>(3 * distal) - nodal.segment<3>(3 * distal);
    nodal.segment<3>(3 * distal) += f;
    nodal.segment<3>(3 * proximal) -= f;
  };
  for (const PlainHead &head : heads.list())
    for (const PlainHead::Node &node : head.nodes)
      transfer(node.plate, node.head);
  for (const CutFaces::Pair &pair : cut.pairs())
    transfer(pair.proximal, pair.distal);
  for (const CutFaces::Middle &middle : cut.middles())
    transfer(middle.proximal, middle.distal);
}

FieldData field_of(const Elasticity &elasticity, const RecoveredStress &stress, const Vector &u, const Vector &nodal)
{
  FieldData         field;
  std::vector<char> seen(elasticity.n_nodes(), 0);
  for (std::size_t e = 0; e < stress.node.size(); ++e)
  {
    const unsigned node = stress.node[e];
    field.points_mm.push_back(elasticity.nodes()[node]);
    field.node.push_back(static_cast<int>(node));
    field.displacement_mm.push_back(u.segment<3>(3 * node));
    field.force_n.push_back(seen[node] ? Vector3(Vector3::Zero()) : Vector3(nodal.segment<3>(3 * node)));
    field.stress_mpa.push_back(stress.stress_mpa[e]);
    field.von_mises_mpa.push_back(von_mises(stress.stress_mpa[e]));
    seen[node] = 1;
  }
  field.cells      = stress.cell_entries;
  field.part_names = elasticity.mesh().parts;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
  {
    field.part.push_back(static_cast<int>(elasticity.mesh().part[c]));
    field.modulus_mpa.push_back(elasticity.material(c).modulus_mpa);
    field.poisson_ratio.push_back(elasticity.material(c).poisson_ratio);
  }
  return field;
}
} // namespace stifle::solver
