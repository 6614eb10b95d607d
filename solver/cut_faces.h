// solver/cut_faces.h - the two sides of the cut as relative unknowns on node pairs, with the contact law at face points
//   unknowns  w = (normal, tangent 1, tangent 2) per pair of vertices, mm: u_distal = u_proximal + R w; normal from proximal
//             to distal, so w_n > 0 opens. R is averaged at the vertex over the faces (area weighted), tangent 1 along y as far
//             as it can. At mid-edges R w is the mean of both ends: the jump is linear in a face, the bone quadratic (a third
//             of the unknowns of a quadratic jump, which stops the dense work from growing out of hand on fine cuts).
//   law       at 6 points a face (exact to degree 4): pressure k max(0, -w_n); Coulomb friction by return mapping from the
//             unloaded state, in one load step: traction -k w_t limited to friction * pressure
//   gap       faces that stand apart by gap_mm touch where -w_n passes it. Their shear still counts from the unloaded shape, so
//             friction of a gap that closes is approximate
//   sign      q = dE/dw (N): the cut pulls the proximal side with +R q and the distal side with -R q
#pragma once
#include "solver/elasticity.h"

namespace stifle::solver
{
struct ContactLaw
{
  double stiffness = 1e4, friction = 0.4;
  double gap_mm = 0; ///< between the faces in the unloaded shape; with one, nothing of a contact is known beforehand: free form only
};

struct CutSums ///< integrals over the faces of one state
{
  double closed_area = 0, opening_max = 0, slip_max = 0;
};

class CutFaces
{
public:
  CutFaces() = default;
  explicit CutFaces(const Elasticity &elasticity);
  std::size_t n_pairs() const { return pairs_.size(); }
  bool        empty() const { return pairs_.empty(); }
  struct Pair
  {
    unsigned proximal, distal; ///< nodes
    Matrix3  frame;            ///< columns normal, tangent 1, tangent 2
    double   lumped_area;      ///< share of the cut area (A/3 a corner)
  };
  struct Middle
  {
    unsigned proximal, distal; ///< nodes in the middle of an edge of the cut
    unsigned ends[2];          ///< pairs at its ends
  };
  const std::vector<Middle> &middles() const { return middles_; }
  const std::vector<Pair> &pairs() const { return pairs_; }
  double area() const { return area_; }

  /// q of the contact law minus that of springs of stiffness `relative_to` (N/mm^3) in every direction, and per face its
  /// 9 x 9 tangent. A face on which the difference is zero at every point has an empty tangent: an open face for
  /// relative_to = 0, a face that sticks for relative_to = law.stiffness.
  Vector contact_force(const Vector &w, const ContactLaw &law, double relative_to = 0,
                       std::vector<Eigen::MatrixXd> *tangents = nullptr) const;
  struct Counts ///< pairs at faces that touch somewhere, and at faces that do not stick everywhere
  {
    std::size_t touching = 0, loose = 0;
  };
  Counts count(const Vector &w, const ContactLaw &law) const;
  /// Stiffness of callus, normal and tangential (N/mm^3), on w.
  Eigen::MatrixXd callus(double normal, double tangential) const;
  void            add_callus_force(const Vector &w, double normal, double tangential, Vector &q) const;
  CutSums         sums(const Vector &w, const ContactLaw &law) const;
  struct Face
  {
    std::array<unsigned, 3> pair;
    double                  area;
  };
  const std::vector<Face> &faces() const { return faces_; }

private:
  std::vector<Pair> pairs_;
  std::vector<Middle> middles_;
  std::vector<Face> faces_;
  double            area_ = 0;
};
} // namespace stifle::solver
