#include "solver/bone_law.h"
#include "models/core/error.h"
#include "models/parts/part_name.h"
#include <algorithm>
#include <map>

namespace stifle::solver
{
namespace
{
constexpr double slice_mm = 5;


/// Rotation of the proximal segment, unoperated to operated.
Matrix3 turn_of(const Levelling &levelling)
{
  Matrix3 turn;
  for (int d = 0; d < 3; ++d)
    turn.col(d) = levelling.turned(Vector3::Unit(d));
  return turn;
}

/// Cell centres of the bone in the unoperated tibia, and the rotation that each has made since.
class UnoperatedBone
{
public:
  UnoperatedBone(const mesh::TetMesh &mesh, const Levelling &levelling)
    : mesh_(mesh), turn_(levelling.cut ? turn_of(levelling) : Matrix3(Matrix3::Identity())), centre_(levelling.centre)
  {
    struct Sum
    {
      Vector3 first = Vector3::Zero();
      double volume = 0;
    };
    std::map<long, Sum> slices;
    for (std::size_t c = 0; c < mesh.tetrahedra.size(); ++c)
      if (const std::string &part = mesh.parts[mesh.part[c]]; is_cortex(part) || is_cancellous(part))
      {
        const Vector3 x = place(c);
        Sum &sum = slices[std::lround(x.z() / slice_mm)];
        sum.volume += mesh::volume(mesh, c);
        sum.first += mesh::volume(mesh, c) * x;
      }
    for (const auto &[height, sum] : slices)
      line_.push_back(sum.first / sum.volume);
  }
  Matrix3 turn(std::size_t cell) const { return moved(cell) ? turn_ : Matrix3(Matrix3::Identity()); }
  Vector3 place(std::size_t cell) const
  {
    Vector3 x = Vector3::Zero();
    for (const unsigned v : mesh_.tetrahedra[cell])
      x += mesh_.points[v] / 4;
    return moved(cell) ? Vector3(centre_ + turn_.transpose() * (x - centre_)) : x;
  }
  /// Centre of the section at the height of a point.
  Vector3 section(double z) const
  {
    const auto above = std::find_if(line_.begin(), line_.end(), [&](const Vector3 &p) { return p.z() >= z; });
    if (above == line_.begin())
      return line_.front();
    if (above == line_.end())
      return line_.back();
    const Vector3 &a = *(above - 1), &b = *above;
    return a + (z - a.z()) / (b.z() - a.z()) * (b - a);
  }

private:
  bool moved(std::size_t cell) const { return mesh_.component[mesh_.part[cell]] == 0; }
  const mesh::TetMesh &mesh_;
  Matrix3 turn_;
  Vector3 centre_;
  std::vector<Vector3> line_; ///< section centres from distal to proximal
};

/// Columns 1 radial, 2 around, 3 along.
Matrix3 shaft_axes(const Vector3 &from_centre, const Vector3 &along)
{
  Vector3 radial = from_centre - from_centre.dot(along) * along;
  if (radial.norm() < 1e-6) // on the axis every direction is as good
    radial = Vector3::UnitX() - along.x() * along;
  Matrix3 axes;
  axes.col(0) = radial.normalized();
  axes.col(2) = along;
  axes.col(1) = along.cross(axes.col(0));
  return axes;
}
} // namespace

double modulus_at_depth(const ModulusLevels &levels, const std::array<double, 2> &mm, double depth)
{
  const double part = std::min(1.0, std::max(0.0, (depth - mm[0]) / (mm[1] - mm[0])));
  return levels.top_mpa + part * (levels.third_mpa - levels.top_mpa);
}

std::vector<CellMaterial> bone_laws(const mesh::TetMesh &mesh, const Anatomy &anatomy, const Levelling &levelling,
                                    const ConstructMaterials &m)
{
  std::vector<CellMaterial> own;
  if (!m.orthotropic_cortex && !m.cancellous_levels_mm)
    return own;
  if (m.orthotropic_cortex && !m.cortex.orthotropic)
    throw Error("construct: material " + m.cortex.name + " has no orthotropic constants");
  if (m.cancellous_levels_mm && !m.cancellous.levels)
    throw Error("construct: material " + m.cancellous.name + " has no moduli by depth");
  const UnoperatedBone bone(mesh, levelling);
  const Vector3 along = (-anatomy.hock_centre).normalized(), under = -plateau_normal(anatomy);
  for (std::size_t c = 0; c < mesh.tetrahedra.size(); ++c)
  {
    const std::string &part = mesh.parts[mesh.part[c]];
    const Vector3 x = bone.place(c);
    if (m.orthotropic_cortex && is_cortex(part))
    {
      const Orthotropic &o = *m.cortex.orthotropic;
      const Matrix3 axes = bone.turn(c) * shaft_axes(x - bone.section(x.z()), along);
      own.push_back({c, {o.modulus_mpa[2], o.poisson_ratio_back[1]}, orthotropic_law(o, axes)});
    }
    if (m.cancellous_levels_mm && is_cancellous(part))
      own.push_back({c, {modulus_at_depth(*m.cancellous.levels, *m.cancellous_levels_mm, x.dot(under)), m.cancellous.poisson_ratio}, {}});
  }
  return own;
}
} // namespace stifle::solver
