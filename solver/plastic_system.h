// solver/plastic_system.h - elastoplastic body as a nonlinear system: residual, consistent tangent, history
//   element   Elasticity's P2 tetrahedra; history at 4 points of equal weight (exact to degree 2, as the stiffness needs, and
//             invariant under renumbering, unlike the 6 points of QGaussSimplex<3>(2) in deal.II 9.4)
//   unknowns  as in construct_system.h: per node its displacement; the slot of a distal cut vertex holds w of its pair
//   residual  K u - plastic part + contact(w) - factor * force, with K the elastic stiffness assembled once
//   cut       without `cut` both sides are free (a gap that never closes); law.bonded: w = 0; else contact with friction
//             as in cut_faces.h (total form: friction knows no order of loading) and callus as linear springs
//   errors    Error: materials that differ from the elasticity's, a prescribed node on the distal side of the cut
#pragma once
#include "solver/block_matrix.h"
#include "solver/construct_model.h"
#include "solver/cut_faces.h"
#include "solver/plasticity.h"
#include "solver/reference_element.h"
#include "solver/tangent_solver.h"

namespace stifle::solver
{
struct LinearSpring ///< a linear element on any nodes, 3 n x 3 n
{
  std::vector<unsigned> nodes;
  Eigen::MatrixXd stiffness;
};

struct PlasticProblem
{
  const Elasticity &elasticity;
  std::vector<PlasticMaterial> materials; ///< per part
  std::vector<Fixed> fixed;               ///< values at factor 1
  Vector force;                           ///< nodal, at factor 1; may be empty
  std::vector<LinearSpring> springs;
  const CutFaces *cut = nullptr;
  CutLaw law;
};

/// Barycentric coordinates of the points: b = (5 - sqrt 5) / 20 three times and 1 - 3 b.
const std::array<Eigen::Vector4d, 4> &plastic_points();

class PlasticSystem
{
public:
  explicit PlasticSystem(const PlasticProblem &problem);   ///< `problem` is borrowed
  const std::vector<int> &order() const { return order_; } ///< of the free unknowns, fill-reducing
  int n_unknowns() const { return static_cast<int>(number_.size()); }
  void set_fixed(double factor, Vector &x) const;
  Vector free_part(const Vector &x) const;
  void add_to_free(double scale, const Vector &change, Vector &x) const;
  /// Of all unknowns (reactions at the prescribed ones). Keeps the history that belongs to x for accept().
  Vector residual(const Vector &x, double factor);
  Tangent tangent(const Vector &x) const;
  /// The same for no plastic flow and a cut that sticks everywhere, with a gap one that is open: where a first step starts.
  Vector elastic_residual(const Vector &x, double factor) const;
  Tangent elastic_tangent() const;
  void accept();
  Vector displacement(const Vector &x) const; ///< of all nodes
  Vector unknowns(const Vector &displacement) const; ///< the other way; between cut vertices the jump is linear
  struct PartSums
  {
    double plastic_volume_mm3 = 0, peak_strain = 0; ///< volume of points that have flowed; largest p
  };
  std::vector<PartSums> sums() const; ///< per part, of the accepted history

  std::vector<Voigt> mean_stress(const Vector &displacement) const; ///< per cell, with the accepted history

private:
  struct PlasticCell
  {
    std::size_t cell;
    unsigned part;
    std::array<ShapeGradients, 4> gradients;
    double volume; ///< of a point
    std::array<PlasticPoint, 4> old, now;
    bool flows = false;
  };
  void make_targets();
  void number_unknowns();
  void collect_cells();
  void assemble_elastic();
  Vector project(const Vector &nodal) const;
  Vector relative(const Vector &x) const;
  Tangent free_tangent(BlockMatrix matrix, const std::vector<Eigen::MatrixXd> &contact) const;
  bool touches() const { return problem_.cut && !problem_.law.bonded; }
  const PlasticProblem &problem_;
  std::vector<NodeTarget> targets_; ///< of the nodes, then one for each w
  std::vector<PlasticCell> cells_;
  std::vector<VoigtTangent> elasticity_; ///< per part
  std::unique_ptr<BlockMatrix> elastic_;
  SparseMatrix stiffness_; ///< elastic, lower triangle, all unknowns
  Vector force_;           ///< on the unknowns
  std::vector<int> number_, free_, order_;
};
} // namespace stifle::solver
