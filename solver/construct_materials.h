// solver/construct_materials.h - what the parts of a construct, its threads and its cut are made of, from the scenario
#pragma once
#include "mesh/construct.h"
#include "models/parts/material.h"
#include "solver/elasticity.h"
#include <map>

namespace stifle::solver
{
/// State of the cut. Stiffness per area in N/mm^3; callus acts from the unloaded shape, contact only in compression.
struct CutLaw
{
  bool   bonded           = false;
  double friction         = 0.4;
  double contact_stiffness = 1e4;
  double gap_mm = 0; ///< between the faces of the cut in the unloaded shape; 0: they touch
  double callus_normal = 0, callus_tangential = 0;
  double plate_friction = 0.3; ///< between bone and a plate that presses
};

struct ConstructMaterials
{
  Material cortex, cancellous, plate, screw;
  double   thread_depth_mm = 0.3; ///< thread layer: stiffness per area = local bone modulus / thread depth
  std::map<std::string, double> thread_depth_of; ///< by name of the screw, where it has a thread of its own; ConstructModel fills it
  double thread_depth(const std::string &screw) const;
  bool     orthotropic_cortex = false; ///< by cortex.orthotropic (bone_law.h)
  std::optional<std::array<double, 2>> cancellous_levels_mm; ///< modulus by cancellous.levels at these depths; empty: uniform
  bool     bonded_threads  = false; ///< ties the threads (only for the comparison with another program)
};

/// By the name of the part (models/parts/part_name.h). Throws Error for another name.
const Material &material_of(const std::string &part, const ConstructMaterials &materials);
/// The same for every part of the mesh.
std::vector<IsotropicMaterial> part_materials(const mesh::TetMesh &mesh, const ConstructMaterials &materials);

/// With the thread depths of the screws that the mesh knows.
ConstructMaterials with_own_threads(ConstructMaterials materials, const mesh::ConstructMesh &construct);
/// What the scenario names, with the two rows of bone; threads as springs.
ConstructMaterials construct_materials(const Scenario &scenario);

/// What the scenario says about the cut, with the callus of that week (`callus_shift`: of its modulus, models/healing/callus.h).
CutLaw cut_law(const Scenario &scenario, double week, double callus_shift = 0);
} // namespace stifle::solver
