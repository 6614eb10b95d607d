// solver/plain_heads.h - heads of plain screws on their seats: six relative unknowns a screw, its pre-load and its compression
//   unknowns  h = (t, r): u_head = u_plate + A (t + r x A^T (x - c)) at every node of the seat, mm and rad. Columns of A: outward
//             along the screw, along the plate towards the cut, across; c middle of the seat. The seat keeps its shape against the
//             head: a rigid jump.
//   law       outward: unilateral, pressure K max(0, d_0 - t_0); along: K (t_1 - d_1); across: K t_2; spin K R^2 r_0; both tilts
//             free (a ball without friction: a lower bound of what a head can hold). K = contact stiffness times area of the seat,
//             R^2 its mean square radius
//   path      tightening: no load of the limb, no law in the directions that carry a pre-load (outward) or a compression (along):
//             these forces act there instead, all screws at once. Then d = t + force / K locks what was reached, and the limb loads
//             act. The thread does not slip; nothing relaxes from week to week
//   sign      q = dE/dh: N and N mm
//   errors    Error: a seat without a screw, a seat node that another rule moves already (bonded threads)
#pragma once
#include "mesh/construct.h"
#include "solver/elasticity.h"

namespace stifle::solver
{
struct PlainHead
{
  struct Node
  {
    unsigned plate, head;
  };
  std::size_t screw = 0; ///< index into ConstructMesh::screws
  std::vector<Node> nodes;
  Matrix3 axes;
  Vector3 centre;
  double area = 0, mean_square_radius = 0;
  double preload_n = 0, compression_n = 0;
  unsigned slots[2] = {0, 0};              ///< head nodes whose slots hold t and r
  Matrix3 turning(const Vector3 &x) const; ///< columns: displacement per turn about each axis
};

/// What a head does outward and along the plate.
struct HeadLaw
{
  bool tightening[2] = {false, false};
  double offset_mm[2] = {0, 0};
};

class PlainHeads
{
public:
  PlainHeads() = default;
  PlainHeads(const mesh::ConstructMesh &construct, const Elasticity &elasticity);
  const std::vector<PlainHead> &list() const { return list_; }
  std::size_t n_unknowns() const { return 6 * list_.size(); }
  bool loaded() const; ///< any pre-load or compression
  std::vector<HeadLaw> tightening() const;
  /// Forces on the unknowns while tightening.
  Vector tightening_force() const;
  /// Laws that hold what tightening reached; `h` the unknowns of all heads then.
  std::vector<HeadLaw> locked(const Vector &h, double stiffness) const;
  /// q of all heads and its derivative (diagonal). `laws` may be empty: every offset 0.
  Vector force(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness) const;
  Vector tangent(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness) const;
  /// Force of each head on the plate, N, into the bone.
  double pressing_n(std::size_t head, const Vector &force) const { return -force(6 * head); }
  /// Stiffness that keeps the factor regular while nothing else holds a head; N/mm and N mm.
  Vector holding(double per_mm) const;

private:
  void values(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness, Vector *force, Vector *tangent) const;
  std::vector<PlainHead> list_;
};
} // namespace stifle::solver
