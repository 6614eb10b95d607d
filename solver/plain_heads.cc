#include "solver/plain_heads.h"
#include "models/core/error.h"
#include <algorithm>
#include <map>

namespace stifle::solver
{
namespace
{
struct Seat
{
  std::map<unsigned, unsigned> plate_of; // head node -> plate node
  double area = 0;
  Vector3 first = Vector3::Zero(); // integral of x
};

PlainHead make_head(const mesh::ConstructMesh::Screw &screw, std::size_t number, const Seat &seat, const Elasticity &e)
{
  PlainHead head;
  head.screw = number;
  const Vector3 outward = (screw.entry - screw.tip).normalized();
  const Vector3 along = (screw.along - screw.along.dot(outward) * outward).normalized();
  head.axes << outward, along, outward.cross(along);
  head.centre = seat.first / seat.area;
  head.area = seat.area;
  head.preload_n = screw.preload_n;
  head.compression_n = screw.compression_n;
  for (const auto &[node, plate] : seat.plate_of)
  {
    head.nodes.push_back({plate, node});
    head.mean_square_radius += outward.cross(e.nodes()[node] - head.centre).squaredNorm() / seat.plate_of.size();
  }
  head.slots[0] = head.nodes.at(0).head;
  head.slots[1] = head.nodes.at(1).head;
  return head;
}
} // namespace

Matrix3 PlainHead::turning(const Vector3 &x) const
{
  Matrix3 columns;
  for (int i = 0; i < 3; ++i)
    columns.col(i) = axes.col(i).cross(x - centre);
  return columns;
}

PlainHeads::PlainHeads(const mesh::ConstructMesh &construct, const Elasticity &e)
{
  std::map<unsigned, Seat> seats; // by part
  for (const mesh::FacePair &face : e.mesh().seats)
  {
    Seat &seat = seats[face.part_b];
    const auto a = e.face_nodes(face.a), b = e.face_nodes(face.b);
    for (int i = 0; i < 6; ++i)
      seat.plate_of[b[i]] = a[i];
    const auto &x = e.nodes();
    const double area = 0.5 * (x[a[1]] - x[a[0]]).cross(x[a[2]] - x[a[0]]).norm();
    seat.area += area;
    seat.first += area / 3 * (x[a[0]] + x[a[1]] + x[a[2]]);
  }
  for (std::size_t k = 0; k < construct.screws.size(); ++k)
  {
    const auto found = seats.find(static_cast<unsigned>(e.mesh().find_part(construct.screws[k].name)));
    if (found == seats.end())
      continue;
    list_.push_back(make_head(construct.screws[k], k, found->second, e));
    seats.erase(found);
  }
  if (!seats.empty())
    throw Error("construct: a seat in the plate belongs to " + e.mesh().parts.at(seats.begin()->first) + ", which is no screw");
}

bool PlainHeads::loaded() const
{
  return std::any_of(list_.begin(), list_.end(), [](const PlainHead &h) { return h.preload_n > 0 || h.compression_n > 0; });
}

std::vector<HeadLaw> PlainHeads::tightening() const
{
  std::vector<HeadLaw> laws(list_.size());
  for (std::size_t k = 0; k < list_.size(); ++k)
    laws[k] = {{list_[k].preload_n > 0, list_[k].compression_n > 0}, {0, 0}};
  return laws;
}

Vector PlainHeads::tightening_force() const
{
  Vector f = Vector::Zero(static_cast<Eigen::Index>(n_unknowns()));
  for (std::size_t k = 0; k < list_.size(); ++k)
    f.segment<2>(6 * k) = Eigen::Vector2d(list_[k].preload_n, list_[k].compression_n);
  return f;
}

std::vector<HeadLaw> PlainHeads::locked(const Vector &h, double stiffness) const
{
  std::vector<HeadLaw> laws = tightening();
  for (std::size_t k = 0; k < list_.size(); ++k)
    for (int i = 0; i < 2; ++i)
    {
      const double force = i == 0 ? list_[k].preload_n : list_[k].compression_n;
      laws[k].offset_mm[i] = laws[k].tightening[i] ? h(6 * k + i) + force / (stiffness * list_[k].area) : 0;
      laws[k].tightening[i] = false;
    }
  return laws;
}

void PlainHeads::values(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness, Vector *force, Vector *tangent) const
{
  for (std::size_t k = 0; k < list_.size(); ++k)
  {
    const HeadLaw law = laws.empty() ? HeadLaw() : laws[k];
    const double spring = stiffness * list_[k].area;
    const auto add = [&](int i, double slope, double offset)
    {
      (*force)(6 * k + i) = slope * (h(6 * k + i) - offset);
      (*tangent)(6 * k + i) = slope;
    };
    if (!law.tightening[0] && h(6 * k) < law.offset_mm[0])
      add(0, spring, law.offset_mm[0]);
    if (!law.tightening[1])
      add(1, spring, law.offset_mm[1]);
    add(2, spring, 0);
    add(3, spring * list_[k].mean_square_radius, 0);
  }
}

Vector PlainHeads::force(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness) const
{
  Vector f = Vector::Zero(h.size()), d = f;
  values(h, laws, stiffness, &f, &d);
  return f;
}

Vector PlainHeads::tangent(const Vector &h, const std::vector<HeadLaw> &laws, double stiffness) const
{
  Vector f = Vector::Zero(h.size()), d = f;
  values(h, laws, stiffness, &f, &d);
  return d;
}

Vector PlainHeads::holding(double per_mm) const
{
  Vector k(static_cast<Eigen::Index>(n_unknowns()));
  for (std::size_t i = 0; i < list_.size(); ++i)
    k.segment<6>(6 * i) << Vector3::Constant(per_mm), Vector3::Constant(per_mm * list_[i].mean_square_radius);
  return k;
}
} // namespace stifle::solver
