// solver/support_springs.h - springs that the elastic and the elastoplastic construct share
#pragma once
#include "solver/construct_materials.h"
#include <array>

namespace stifle::solver
{
/// 36 x 36 on the six nodes of a screw face, then the six opposite ones of the bone: all directions alike, consistent with the
/// quadratic face. `stiffness` is that per area times the area, N/mm.
Eigen::MatrixXd thread_stiffness(double stiffness);

/// Per entry of mesh.threads the modulus (MPa) of the bone cell behind the face; of a law that is not isotropic Young's modulus
/// square to the face.
std::vector<double> thread_moduli(const Elasticity &elasticity);

struct ThreadFace
{
  std::array<unsigned, 12> nodes; ///< screw, then bone
  double stiffness_area = 0;      ///< stiffness per area times area, N/mm
};
/// The thread layer, in the order of mesh.threads: modulus of the bone behind the face over the depth of the screw's thread.
std::vector<ThreadFace> thread_faces(const Elasticity &elasticity, const ConstructMaterials &materials);

/// Forces of the thread layer on the nodes: on the screw and, opposite, on the bone.
void add_thread_force(const std::vector<ThreadFace> &threads, const Eigen::Ref<const Eigen::VectorXd> &u, Eigen::Ref<Eigen::VectorXd> nodal);

struct NodeSpring
{
  unsigned node = 0;
  Matrix3 stiffness; ///< for a spring of 1 N/mm
};
/// Six statically determinate springs on far vertices of the distal bone (component 1; of the whole mesh where there is no bone): three at one node, two across the line to a
/// second, one normal to the plane of three. Loads that balance leave them without force.
std::array<NodeSpring, 3> rigid_pins(const mesh::TetMesh &mesh);
} // namespace stifle::solver
