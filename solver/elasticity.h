// solver/elasticity.h - linear elasticity on straight tetrahedra with quadratic displacements (deal.II FE_SimplexP<3>(2))
//   unknowns  3 displacement components (mm) per node, numbered 3 * node + component
//   nodes     the vertices of the TetMesh first, in its order, then one per edge (per component: a doubled vertex keeps its own edges)
//   cells     10 nodes per tetrahedron in VTK order (type 24): 4 corners, then edges 01 12 02 03 13 23
//   source    DEVELOPERS.md "Elasticity"
#pragma once
#include "mesh/tet_mesh.h"
#include "solver/hooke.h"
#include <Eigen/Sparse>
#include <functional>
#include <memory>
#include <optional>

namespace stifle::solver
{
using Vector       = Eigen::VectorXd;
using SparseMatrix = Eigen::SparseMatrix<double>; ///< column-major, both triangles unless said otherwise
using Cell         = std::array<unsigned, 10>;

using CornerStress = std::array<std::array<double, 6>, 4>;

/// A cell whose material is not that of its part.
struct CellMaterial
{
  std::size_t               cell = 0;
  IsotropicMaterial         material; ///< with a law: what stands for it in tables and fields (along the bone)
  std::optional<GeneralLaw> law;      ///< empty: isotropic
};

class Elasticity
{
public:
  /// `materials` per part, `own` for cells that differ from their part. The mesh is borrowed and must outlive this object.
  Elasticity(const mesh::TetMesh &mesh, std::vector<IsotropicMaterial> materials, const std::vector<CellMaterial> &own = {});
  ~Elasticity();

  const mesh::TetMesh           &mesh() const;
  std::size_t                    n_nodes() const;
  const std::vector<Vector3>    &nodes() const;
  const std::vector<Cell>       &cells() const;     ///< one per tetrahedron, same order as the mesh
  const IsotropicMaterial       &material(std::size_t cell) const;
  const GeneralLaw              *law(std::size_t cell) const; ///< null: isotropic by `material`
  bool                           has_own_materials() const;   ///< some cell is not of its part's material
  Voigt                          strain_of(std::size_t cell, const Voigt &stress_mpa) const; ///< engineering shears
  /// Node on the middle of an edge of one component, or -1.
  long                           edge_node(unsigned vertex_a, unsigned vertex_b) const;

  SparseMatrix stiffness() const;
  /// One cell's 30 x 30 stiffness, unknowns 3 * local node + component.
  Eigen::Matrix<double, 30, 30> element_stiffness(std::size_t cell) const;
  /// Forces that hold the cells in the displacement u (K u, element by element).
  void add_internal_force(const Vector &u, Vector &force) const;
  /// The 6 nodes of a triangle of mesh vertices: corners, then edges 01 12 02. Throws Error when an edge is not in the mesh.
  std::array<unsigned, 6> face_nodes(const mesh::Triangle &triangle) const;
  double volume(std::size_t cell) const;
  const Matrix3 &barycentric_gradients(std::size_t cell) const; ///< columns: of coordinates 1, 2, 3 (corner 0 holds the rest), 1/mm
  /// Consistent nodal forces (N); `traction(x, outward normal)` in MPa on the given triangles (corners are mesh vertices).
  void add_traction(const std::vector<mesh::Triangle> &triangles,
                    const std::function<Vector3(const Vector3 &, const Vector3 &)> &traction, Vector &force) const;
  /// Strain of each vertex when nothing holds it (thermal: alpha times temperature), the same in all directions; linear in a cell.
  /// From then on stress is Hooke's of the strain without it.
  void set_free_strain(std::vector<double> at_vertices);
  const std::vector<double> &free_strain() const; ///< empty: none
  /// Nodal forces that the free strain adds to the load, so that K u = force.
  void add_free_strain(Vector &force) const;
  void add_body_force(const std::function<Vector3(const Vector3 &)> &force_per_volume, Vector &force) const;
  /// Cauchy stress (xx yy zz xy yz xz, MPa) of the displacement u in one cell at barycentric coordinates (4).
  std::array<double, 6> stress(const Vector &u, std::size_t cell, const Eigen::Vector4d &barycentric) const;
  /// The same at the four corners; the stress of a straight cell is linear in between.
  CornerStress corner_stress(const Vector &u, std::size_t cell) const;

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};

/// A prescribed displacement component.
struct Fixed
{
  std::size_t node;
  int         component;
  double      value_mm = 0;
};

struct SolveReport
{
  bool   converged = false;
  unsigned iterations = 0;
  double relative_residual = 0;
  double seconds = 0;
};

/// K u = f with prescribed components, by CHOLMOD. Reactions K u - f at the fixed components in `reaction` when given.
Vector solve(const Elasticity &elasticity, const std::vector<Fixed> &fixed, const Vector &force, SolveReport *report = nullptr,
             Vector *reaction = nullptr);

/// Stress averaged at nodes inside each part (never across a material border) and a recovery-based error estimate.
///   recovery  each cell's own stress at its nodes (linear in a straight P2 cell), weighted with the cell's volume over the
///             cells of the same part around the node
///   error     e = recovered (linear between the corners) minus the cell's own stress, in the energy norm; per cell
///             100 * sqrt(energy density of e in the cell / mean energy density of the recovered stress in its part)
struct StressPlan;
struct RecoveredStress
{
  std::vector<std::array<double, 6>> stress_mpa; ///< per entry of `node`
  std::vector<unsigned>              node, part; ///< a node of two parts has two entries
  std::vector<std::array<unsigned, 10>> cell_entries; ///< per cell, its 10 entries
  std::vector<double>                cell_error_percent;
  std::vector<double>                part_energy_density; ///< mean of 1/2 stress : strain in each part, MPa
  std::vector<CornerStress>          own_mpa;             ///< per cell, its own stress before any averaging
  std::vector<std::array<double, 6>> strain; ///< recovered like the stress (engineering shears); only where cells of a part differ
  std::shared_ptr<const StressPlan>  plan;   ///< kept from one state to the next
};
RecoveredStress recover_stress(const Elasticity &elasticity, const Vector &displacement);
/// The same into `r`, which keeps its plan when it comes from the same elasticity.
void recover_stress(const Elasticity &elasticity, const Vector &displacement, RecoveredStress &r);
double von_mises(const std::array<double, 6> &stress);
} // namespace stifle::solver
