#include "solver/construct_materials.h"
#include "models/core/error.h"
#include "models/healing/callus.h"
#include "models/parts/part_name.h"

namespace stifle::solver
{
const Material &material_of(const std::string &part, const ConstructMaterials &m)
{
  if (is_cortex(part) || is_tube(part))
    return m.cortex;
  if (is_cancellous(part))
    return m.cancellous;
  if (is_plate(part))
    return m.plate;
  if (is_screw(part))
    return m.screw;
  throw Error("construct: part " + part + " has no material (known: cortex*, cancellous*, tube*, plate, screw_*)");
}

std::vector<IsotropicMaterial> part_materials(const mesh::TetMesh &mesh, const ConstructMaterials &materials)
{
  std::vector<IsotropicMaterial> list;
  for (const std::string &part : mesh.parts)
    list.push_back({material_of(part, materials).modulus_mpa, material_of(part, materials).poisson_ratio});
  return list;
}

ConstructMaterials with_own_threads(ConstructMaterials m, const mesh::ConstructMesh &construct)
{
  for (const mesh::ConstructMesh::Screw &screw : construct.screws)
    if (screw.major_mm > screw.core_mm)
      m.thread_depth_of.emplace(screw.name, 0.5 * (screw.major_mm - screw.core_mm));
  return m;
}

double ConstructMaterials::thread_depth(const std::string &screw) const
{
  const auto own = thread_depth_of.find(screw);
  return own == thread_depth_of.end() ? thread_depth_mm : own->second;
}

CutLaw cut_law(const Scenario &scenario, double week, double callus_shift)
{
  CutLaw law;
  law.bonded   = scenario.healing.cut == "bonded";
  law.friction = scenario.healing.friction;
  law.gap_mm   = scenario.healing.cut == "gap" ? scenario.healing.gap_mm : 0;
  const double modulus  = callus_modulus_mpa(week, callus_shift), poisson_ratio = 0.3;
  law.callus_normal     = modulus / scenario.healing.gap_mm;
  law.callus_tangential = modulus / (2 * (1 + poisson_ratio)) / scenario.healing.gap_mm;
  law.plate_friction    = scenario.plate.friction;
  return law;
}

ConstructMaterials construct_materials(const Scenario &scenario)
{
  ConstructMaterials materials;
  materials.cortex          = find_material("cortical_bone");
  materials.cancellous      = find_material("cancellous_bone");
  materials.plate           = find_material(scenario.plate.material);
  materials.screw           = find_material(scenario.screws.material);
  materials.thread_depth_mm = 0.5 * (scenario.screws.major_mm - scenario.screws.core_mm);
  materials.orthotropic_cortex = scenario.tibia.cortex_law == "orthotropic";
  if (scenario.tibia.cancellous_law == "depth")
    materials.cancellous_levels_mm = {{scenario.tibia.cancellous_levels_mm.at(0), scenario.tibia.cancellous_levels_mm.at(1)}};
  return materials;
}
} // namespace stifle::solver
