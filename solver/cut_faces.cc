#include "solver/cut_faces.h"
#include "models/core/error.h"
#include "solver/reference_element.h"
#include <map>

namespace stifle::solver
{
namespace
{
constexpr std::size_t face_points = 6; // of reference_element()

enum class Touch
{
  open,
  stick,
  slip
};

/// A ContactLaw as one side sees it.
struct PointLaw
{
  double stiffness, friction, gap_mm;
  bool   all_stick;
};

PointLaw law_on(Side side, const ContactLaw &law)
{
  if (side == Side::plate)
    return {law.stiffness, law.plate_friction, 0, law.all_stick};
  return {law.stiffness, law.friction, law.gap_mm, law.all_stick && law.gap_mm == 0};
}

// Pressure and shear of one face point; q is dE/dw per area, tangent its derivative. `slid`: tangential part without shear.
Touch point_law(const Vector3 &w, const Eigen::Vector2d &slid, const PointLaw &law, Vector3 &q, Matrix3 *tangent)
{
  const double k = law.stiffness;
  if (law.all_stick)
  {
    q = k * w;
    if (tangent)
      *tangent = k * Matrix3::Identity();
    return Touch::stick;
  }
  q.setZero();
  if (tangent)
    tangent->setZero();
  const double depth = w(0) + law.gap_mm; // below 0 the faces touch
  if (depth >= 0)
    return Touch::open;
  const Eigen::Vector2d elastic = w.tail<2>() - slid;
  q = k * Vector3(depth, elastic(0), elastic(1));
  if (tangent)
    *tangent = k * Matrix3::Identity();
  const double limit = -law.friction * k * depth;
  const double slide = elastic.norm();
  if (law.friction > 0 && k * slide <= limit)
    return Touch::stick;
  const Eigen::Vector2d direction = slide > 0 ? Eigen::Vector2d(elastic / slide) : Eigen::Vector2d(Eigen::Vector2d::Zero());
  q.tail<2>()                     = limit * direction;
  if (tangent)
  {
    tangent->block<2, 2>(1, 1) = (slide > 0 ? limit / slide : 0) * (Eigen::Matrix2d::Identity() - direction * direction.transpose());
    tangent->block<2, 1>(1, 0) = -law.friction * k * direction;
  }
  return Touch::slip;
}

Eigen::Vector2d slid_at(const ContactLaw &law, std::size_t face, std::size_t point)
{
  return law.slid.empty() ? Eigen::Vector2d(Eigen::Vector2d::Zero()) : law.slid[face * face_points + point];
}

// Where the shear of a point vanishes: its slide so far.
Eigen::Vector2d slide_of(const Vector3 &w, const Vector3 &q, double stiffness) { return w.tail<2>() - q.tail<2>() / stiffness; }

Matrix3 frame_of(const Vector3 &normal)
{
  Vector3 along = Vector3::UnitY() - normal.y() * normal;
  if (along.norm() < 0.1)
    along = Vector3::UnitX() - normal.x() * normal;
  Matrix3 frame;
  frame << normal, along.normalized(), normal.cross(along.normalized());
  return frame;
}
} // namespace

CutFaces::CutFaces(const Elasticity &elasticity, bool plate, bool apart) : apart_(apart)
{
  add_pairs(elasticity, elasticity.mesh().cut, Side::cut);
  n_cut_pairs_ = pairs_.size();
  if (plate)
    add_pairs(elasticity, elasticity.mesh().plate_contact, Side::plate);
}

void CutFaces::add_pairs(const Elasticity &elasticity, const std::vector<mesh::FacePair> &list, Side side)
{
  std::map<unsigned, unsigned> number; // node on the distal side -> pair
  const std::size_t            first = pairs_.size();
  std::vector<Vector3>         normals(first, Vector3::Zero());
  for (const mesh::FacePair &face : list)
  {
    const auto    a = elasticity.face_nodes(face.a), b = elasticity.face_nodes(face.b);
    const auto   &x = elasticity.nodes();
    const Vector3 outward = 0.5 * (x[a[1]] - x[a[0]]).cross(x[a[2]] - x[a[0]]);
    Face          f;
    f.area = outward.norm();
    f.side = side;
    area_[static_cast<int>(side)] += f.area;
    for (int i = 0; i < 6; ++i)
      if (!apart_ && (x[a[i]] - x[b[i]]).norm() > 1e-6)
        throw Error("cut: the two sides of a face pair do not coincide");
    for (int i = 0; i < 3; ++i)
    {
      const auto found = number.emplace(b[i], static_cast<unsigned>(pairs_.size()));
      if (found.second)
      {
        pairs_.push_back({a[i], b[i], Matrix3::Identity(), 0, 0});
        normals.push_back(Vector3::Zero());
      }
      f.pair[i] = found.first->second;
      if (pairs_[f.pair[i]].proximal != a[i])
        throw Error("cut: a distal node has two proximal partners");
      normals[f.pair[i]] += outward;
      pairs_[f.pair[i]].lumped_area += f.area / 3;
    }
    for (int e = 0; e < 3; ++e)
      if (number.emplace(b[3 + e], 0).second) // middles need no number, only to be known
        middles_.push_back({a[3 + e], b[3 + e], {f.pair[triangle_edges[e][0]], f.pair[triangle_edges[e][1]]}});
    faces_.push_back(f);
  }
  for (std::size_t p = first; p < pairs_.size(); ++p)
  {
    Pair &pair = pairs_[p];
    pair.frame = frame_of(normals[p].normalized());
    if (apart_)
      pair.apart_mm = pair.frame.col(0).dot(elasticity.nodes()[pair.distal] - elasticity.nodes()[pair.proximal]);
  }
}

// The normal part with the distance of faces that lie apart.
Vector3 CutFaces::jump(const Vector &w, const Face &face, const TrianglePoint &point) const
{
  Vector3 here = Vector3::Zero();
  for (int i = 0; i < 3; ++i)
  {
    here += point.barycentric(i) * w.segment<3>(3 * face.pair[i]);
    here(0) += point.barycentric(i) * pairs_[face.pair[i]].apart_mm;
  }
  return here;
}

Vector CutFaces::contact_force(const Vector &w, const ContactLaw &law, double relative_to,
                               std::vector<Eigen::MatrixXd> *tangents) const
{
  Vector      force = Vector::Zero(w.size());
  if (tangents)
    tangents->assign(faces_.size(), Eigen::MatrixXd());
  for (std::size_t f = 0; f < faces_.size(); ++f)
  {
    const PointLaw point_of = law_on(faces_[f].side, law);
    const double   springs  = point_of.gap_mm == 0 ? relative_to : 0;
    const Touch    silent   = springs == 0 ? Touch::open : Touch::stick; // here the difference is zero
    for (std::size_t i_point = 0; i_point < face_points; ++i_point)
    {
      const TrianglePoint  &point = reference_element().face_points[i_point];
      const Vector3         here  = jump(w, faces_[f], point);
      const Eigen::Vector2d slid  = slid_at(law, f, i_point);
      Vector3 q;
      Matrix3 tangent;
      const Touch touch     = point_law(here, slid, point_of, q, tangents ? &tangent : nullptr);
      const bool  no_change = touch == silent && (springs == 0 || springs == law.stiffness); // of the difference with w
      if (no_change && (springs == 0 || slid.isZero(0)))
        continue;
      q -= springs * here;
      const double weight = point.weight * faces_[f].area;
      for (int i = 0; i < 3; ++i)
        force.segment<3>(3 * faces_[f].pair[i]) += weight * point.barycentric(i) * q;
      if (!tangents || no_change)
        continue;
      tangent.diagonal().array() -= springs;
      Eigen::MatrixXd &d = (*tangents)[f];
      if (d.size() == 0)
        d = Eigen::MatrixXd::Zero(9, 9);
      for (int i = 0; i < 3; ++i)
        for (int j = 0; j < 3; ++j)
          d.block<3, 3>(3 * i, 3 * j) += (weight * point.barycentric(i) * point.barycentric(j)) * tangent;
    }
  }
  return force;
}

CutFaces::Counts CutFaces::count(const Vector &w, const ContactLaw &law) const
{
  std::vector<char> touching(pairs_.size(), 0), loose(pairs_.size(), 0);
  for (std::size_t f = 0; f < faces_.size(); ++f)
  {
    const PointLaw point_of = law_on(faces_[f].side, law);
    for (std::size_t i_point = 0; i_point < face_points; ++i_point)
    {
      Vector3     q;
      const Touch touch = point_law(jump(w, faces_[f], reference_element().face_points[i_point]), slid_at(law, f, i_point), point_of, q, nullptr);
      for (const unsigned pair : faces_[f].pair)
      {
        touching[pair] |= touch != Touch::open;
        loose[pair] |= touch != (point_of.gap_mm == 0 ? Touch::stick : Touch::open);
      }
    }
  }
  Counts counts;
  for (std::size_t p = 0; p < pairs_.size(); ++p)
  {
    counts.touching += touching[p];
    counts.loose += loose[p];
  }
  return counts;
}

Eigen::MatrixXd CutFaces::callus(double normal, double tangential, double plate) const
{
  Eigen::MatrixXd k = Eigen::MatrixXd::Zero(3 * pairs_.size(), 3 * pairs_.size());
  const Vector3   on_cut(normal, tangential, tangential), on_plate = Vector3::Constant(plate);
  for (const Face &face : faces_)
    for (int i = 0; i < 3; ++i)
      for (int j = 0; j < 3; ++j)
        for (int c = 0; c < 3; ++c)
          k(3 * face.pair[i] + c, 3 * face.pair[j] + c) += face.mass(i, j) * (face.side == Side::cut ? on_cut : on_plate)(c);
  return k;
}

void CutFaces::add_callus_force(const Vector &w, double normal, double tangential, Vector &q) const
{
  const Vector3 stiffness(normal, tangential, tangential);
  for (const Face &face : faces_)
    for (int i = 0; i < 3 && face.side == Side::cut; ++i)
      for (int j = 0; j < 3; ++j)
        q.segment<3>(3 * face.pair[i]) +=
          face.mass(i, j) * stiffness.cwiseProduct(w.segment<3>(3 * face.pair[j]));
}

template <class Visit> void CutFaces::visit_points(const Vector &w, const ContactLaw &law, Visit visit) const
{
  for (std::size_t f = 0; f < faces_.size(); ++f)
    for (std::size_t i_point = 0; i_point < face_points; ++i_point)
    {
      const TrianglePoint &point = reference_element().face_points[i_point];
      const Vector3        here  = jump(w, faces_[f], point);
      Vector3              q     = Vector3::Zero();
      const Touch          touch = point_law(here, slid_at(law, f, i_point), law_on(faces_[f].side, law), q, nullptr);
      visit(f, PointState{touch != Touch::open, touch == Touch::slip, point.weight, here, q, slide_of(here, q, law.stiffness)});
    }
}

std::vector<Eigen::Vector2d> CutFaces::slid(const Vector &w, const ContactLaw &law) const
{
  std::vector<Eigen::Vector2d> all;
  visit_points(w, law, [&](std::size_t, const PointState &point) { all.push_back(point.slid); });
  return all;
}

CutSums CutFaces::sums(const Vector &w, const ContactLaw &law, Side side) const
{
  CutSums s;
  visit_points(w, law, [&](std::size_t f, const PointState &point) {
    if (faces_[f].side != side)
      return;
    s.opening_max = std::max(s.opening_max, point.jump(0));
    if (!point.touches)
      return;
    s.closed_area += point.weight * faces_[f].area;
    s.normal_n -= point.weight * faces_[f].area * point.q(0);
    s.slip_max = std::max(s.slip_max, point.slid.norm());
  });
  return s;
}

std::vector<CutMapFace> CutFaces::map(const Vector &w, const ContactLaw &law) const
{
  std::vector<CutMapFace> all;
  for (const Face &face : faces_) // those of the cut come first
    if (face.side == Side::cut)
    {
      all.emplace_back();
      all.back().corners_mm.fill(Vector3::Zero());
      all.back().area_mm2 = face.area;
    }
  visit_points(w, law, [&](std::size_t f, const PointState &point) {
    if (f >= all.size())
      return;
    CutMapFace &face = all[f];
    face.opening_mm += point.weight * point.jump(0);
    if (!point.touches)
      return;
    face.touching += point.weight;
    face.pressure_mpa -= point.weight * point.q(0);
    face.slip_mm = std::max(face.slip_mm, point.slid.norm());
    face.touch   = point.slips || face.touch == CutTouch::slip ? CutTouch::slip : CutTouch::stuck;
  });
  return all;
}
} // namespace stifle::solver
