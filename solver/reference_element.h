// solver/reference_element.h - quadratic tetrahedron and triangle on the reference cell, taken once from deal.II
//   order   VTK: corners, then tetrahedron edges 01 12 02 03 13 23, triangle edges 01 12 02
//   shape   values and gradients of FE_SimplexP<3>(2) and FE_SimplexP<2>(2); straight cells have a constant Jacobian,
//           so physical gradients are J^-T times these
#pragma once
#include <Eigen/Dense>
#include <array>
#include <vector>

namespace stifle::solver
{
using ShapeGradients = Eigen::Matrix<double, 3, 10>;

constexpr int tetrahedron_edges[6][2] = {{0, 1}, {1, 2}, {0, 2}, {0, 3}, {1, 3}, {2, 3}};
constexpr int triangle_edges[3][2]    = {{0, 1}, {1, 2}, {0, 2}};

struct TetrahedronPoint ///< a quadrature point; the weights sum to 1 (times the volume)
{
  double                       weight;
  Eigen::Vector4d              barycentric;
  Eigen::Matrix<double, 10, 1> shape;
};
struct TrianglePoint ///< the weights sum to 1 (times the area)
{
  double                      weight;
  Eigen::Vector3d             barycentric;
  Eigen::Matrix<double, 6, 1> shape;
};

struct ReferenceElement
{
  std::array<ShapeGradients, 4> corner_gradients; ///< linear in between: gradient(b) = sum of b_c * corner c
  std::vector<TetrahedronPoint> stiffness_points; ///< QGaussSimplex<3>(2): 6 points, exact to degree 3
  std::vector<TetrahedronPoint> load_points;      ///< exact to degree 7
  std::vector<TrianglePoint>    face_points;      ///< exact to degree 4 or more (P2 times P2), invariant under renumbering
  std::vector<TrianglePoint>    traction_points;  ///< exact to degree 7
  Eigen::Matrix<double, 6, 6>   face_mass;        ///< integral of N_i N_j over the area
  ShapeGradients gradients(const Eigen::Vector4d &barycentric) const;
};
const ReferenceElement &reference_element();
} // namespace stifle::solver
