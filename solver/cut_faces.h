// solver/cut_faces.h - two sides that touch as relative unknowns on node pairs, with the contact law at face points
//   sides     the cut (proximal, distal bone) and, where the plate presses, bone and plate: there `proximal` is the bone and
//             `distal` the plate, with a friction of its own, no gap and no callus
//   unknowns  w = (normal, tangent 1, tangent 2) per pair of vertices, mm: u_distal = u_proximal + R w; normal from proximal
//             to distal, so w_n > 0 opens. R is averaged at the vertex over the faces (area weighted), tangent 1 along y as far
//             as it can. At mid-edges R w is the mean of both ends: the jump is linear in a face, the bone quadratic (a third
//             of the unknowns of a quadratic jump, which stops the dense work from growing out of hand on fine cuts).
//   law       at 6 points a face (exact to degree 4): pressure k max(0, -w_n); Coulomb friction by return mapping: traction
//             -k (w_t - slid) limited to friction * pressure
//   history   `slid` is what a point has slid before (zero: from the unloaded state). A load path is a chain of states, each from the
//             slides of the one before; a point that opens forgets its shear. Within a step the path is straight
//   gap       faces that stand apart by gap_mm touch where -w_n passes it. Their shear still counts from the unloaded shape, so
//             friction of a gap that closes is approximate
//   sign      q = dE/dw (N): the cut pulls the proximal side with +R q and the distal side with -R q
#pragma once
#include "solver/plain_heads.h"
#include "solver/reference_element.h"
#include "solver/results.h"

namespace stifle::solver
{
struct ContactLaw
{
  double stiffness = 1e4, friction = 0.4;
  double gap_mm = 0; ///< between the faces of the cut in the unloaded shape; with one, nothing of their contact is known beforehand
  double plate_friction = 0.3;
  std::vector<HeadLaw> heads = {}; ///< see plain_heads.h; empty: all at rest
  std::vector<Eigen::Vector2d> slid = {}; ///< mm, per face and point (CutFaces::slid); empty: zero
  bool all_stick = false;     ///< faces that touch in the unloaded shape hold like springs: a first guess
};

struct CutSums ///< integrals over the faces of one state
{
  double closed_area = 0, opening_max = 0, slip_max = 0;
  double normal_n = 0; ///< integral of the pressure
};

enum class Side
{
  cut,
  plate
};

class CutFaces
{
public:
  CutFaces() = default;
  /// The cut, and with `plate` also the faces of a plate that presses, behind it.
  /// `apart`: faces that do not coincide face each other along the normal of the proximal one and touch where -w_n passes
  /// their distance (free form only); without it such faces are an Error.
  explicit CutFaces(const Elasticity &elasticity, bool plate = false, bool apart = false);
  std::size_t n_pairs() const { return pairs_.size(); }
  bool        empty() const { return pairs_.empty(); }
  struct Pair
  {
    unsigned proximal, distal; ///< nodes
    Matrix3  frame;            ///< columns normal, tangent 1, tangent 2
    double   lumped_area;      ///< share of the cut area (A/3 a corner)
    double   apart_mm = 0;     ///< distance of the two nodes along the normal
  };
  struct Middle
  {
    unsigned proximal, distal; ///< nodes in the middle of an edge of the cut
    unsigned ends[2];          ///< pairs at its ends
  };
  const std::vector<Middle> &middles() const { return middles_; }
  const std::vector<Pair> &pairs() const { return pairs_; }
  double area(Side side = Side::cut) const { return area_[static_cast<int>(side)]; }
  std::size_t n_cut_pairs() const { return n_cut_pairs_; } ///< they come first

  /// q of the contact law minus that of springs of stiffness `relative_to` (N/mm^3) in every direction (but on a cut with a gap:
  /// no springs there), and per face its
  /// 9 x 9 tangent. A face on which the difference is zero at every point has an empty tangent: an open face for
  /// relative_to = 0, a face that sticks for relative_to = law.stiffness.
  Vector contact_force(const Vector &w, const ContactLaw &law, double relative_to = 0,
                       std::vector<Eigen::MatrixXd> *tangents = nullptr) const;
  struct Counts ///< pairs at faces that touch somewhere, and at faces that do not stick everywhere
  {
    std::size_t touching = 0, loose = 0;
  };
  Counts count(const Vector &w, const ContactLaw &law) const;
  /// Stiffness of callus, normal and tangential (N/mm^3), on w; on the plate's faces it is `plate` in every direction.
  Eigen::MatrixXd callus(double normal, double tangential, double plate = 0) const;
  void            add_callus_force(const Vector &w, double normal, double tangential, Vector &q) const;
  /// What each point has slid at w, the `slid` of the state that follows.
  std::vector<Eigen::Vector2d> slid(const Vector &w, const ContactLaw &law) const;
  CutSums         sums(const Vector &w, const ContactLaw &law, Side side = Side::cut) const;
  /// Of each face of the cut: all but corners and callus, which are left at zero.
  std::vector<CutMapFace> map(const Vector &w, const ContactLaw &law) const;
  struct Face
  {
    std::array<unsigned, 3> pair;
    double                  area;
    Side                    side;
    /// Integral of the product of two of its linear functions.
    double mass(int i, int j) const { return area * (i == j ? 2 : 1) / 12.0; }
  };
  const std::vector<Face> &faces() const { return faces_; }

private:
  struct PointState
  {
    bool            touches, slips;
    double          weight;
    Vector3         jump, q;
    Eigen::Vector2d slid;
  };
  template <class Visit> void visit_points(const Vector &w, const ContactLaw &law, Visit visit) const;
  Vector3           jump(const Vector &w, const Face &face, const TrianglePoint &point) const;
  bool              apart_ = false;
  std::vector<Pair> pairs_;
  std::vector<Middle> middles_;
  void add_pairs(const Elasticity &elasticity, const std::vector<mesh::FacePair> &list, Side side);
  std::vector<Face> faces_;
  std::size_t       n_cut_pairs_ = 0;
  double            area_[2] = {0, 0};
};
} // namespace stifle::solver
