// solver/bone_law.h - elastic laws of bone that differ from cell to cell: orthotropic cortex, cancellous bone by depth
//   frame    laws are stated in the unoperated tibia; cells of the turned segment carry their law along
//   cortex   axis 3 along the functional axis (hock centre to intercondylar point), axis 1 radial from the centre of the bone's
//            section at that height (slices of 5 mm of the mesh, straight between them), axis 2 = 3 x 1
//   depth    d = distance under the plateau's chord plane, mm: the top modulus above the top level, the third below the third level,
//            straight between (models/parts/material.h, tibia.cancellous_levels_mm)
//   errors   Error when the material lacks the numbers
//   limits   a cell has one law (of its centre); strengths do not follow the law; under the plateau the cortex runs across the
//            shaft, and its axes stay those of the shaft
#pragma once
#include "solver/construct_model.h"

namespace stifle::solver
{
/// Modulus of cancellous bone at a depth under the plateau (MPa, mm).
double modulus_at_depth(const ModulusLevels &levels, const std::array<double, 2> &levels_mm, double depth_mm);

/// Empty for isotropic cortex and uniform cancellous bone.
std::vector<CellMaterial> bone_laws(const mesh::TetMesh &mesh, const Anatomy &anatomy, const Levelling &levelling,
                                    const ConstructMaterials &materials);
} // namespace stifle::solver
