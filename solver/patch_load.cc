#include "solver/patch_load.h"
#include "models/core/error.h"
#include "solver/reference_element.h"

namespace stifle::solver
{
namespace
{
Vector3 centroid(const mesh::TetMesh &m, const mesh::Triangle &t) { return (m.points[t[0]] + m.points[t[1]] + m.points[t[2]]) / 3; }
double  area(const mesh::TetMesh &m, const mesh::Triangle &t)
{
  return 0.5 * (m.points[t[1]] - m.points[t[0]]).cross(m.points[t[2]] - m.points[t[0]]).norm();
}

// Where a load may enter: contact through the plateau only, everything else through the plateau or the skin of its segment.
std::vector<mesh::Triangle> skin_of(const mesh::TetMesh &mesh, const PointForce &load)
{
  std::vector<std::string> names = {"plateau"};
  if (load.name.rfind("contact", 0) != 0)
  {
    const mesh::Surface *proximal = mesh.find_surface("outer_proximal");
    const bool           whole    = !proximal || proximal->triangles.empty(); // one skin, and the plateau belongs to it
    names                         = {load.proximal && !whole ? "outer_proximal" : "outer_distal"};
    if (load.proximal || whole)
      names.push_back("plateau");
  }
  std::vector<mesh::Triangle> skin;
  for (const std::string &name : names)
    if (const mesh::Surface *surface = mesh.find_surface(name))
      skin.insert(skin.end(), surface->triangles.begin(), surface->triangles.end());
  if (skin.empty())
    throw Error("load " + load.name + ": the mesh has no surface " + names.front());
  return skin;
}

// Calls f(x, weight times area, shape, nodes) at every quadrature point of the patch.
template <class F> void for_points(const Elasticity &elasticity, const Patch &patch, F f)
{
  const mesh::TetMesh &m = elasticity.mesh();
  for (const mesh::Triangle &t : patch.triangles)
  {
    const auto   nodes = elasticity.face_nodes(t);
    const double a     = area(m, t);
    for (const TrianglePoint &q : reference_element().traction_points)
    {
      const Vector3 x = q.barycentric(0) * m.points[t[0]] + q.barycentric(1) * m.points[t[1]] + q.barycentric(2) * m.points[t[2]];
      f(x, q.weight * a, q.shape, nodes);
    }
  }
}
} // namespace

Patch make_patch(const mesh::TetMesh &mesh, std::vector<mesh::Triangle> triangles)
{
  Patch patch;
  for (const mesh::Triangle &t : triangles)
  {
    patch.area_mm2 += area(mesh, t);
    patch.centre += area(mesh, t) * centroid(mesh, t);
  }
  if (!(patch.area_mm2 > 0))
    throw Error("a load or support patch has no area");
  patch.centre /= patch.area_mm2;
  for (const mesh::Triangle &t : triangles)
    for (const TrianglePoint &q : reference_element().traction_points)
    {
      const Vector3 r = q.barycentric(0) * mesh.points[t[0]] + q.barycentric(1) * mesh.points[t[1]] +
                        q.barycentric(2) * mesh.points[t[2]] - patch.centre;
      patch.second_moment += q.weight * area(mesh, t) * (r.squaredNorm() * Matrix3::Identity() - r * r.transpose());
    }
  patch.triangles = std::move(triangles);
  return patch;
}

const std::vector<mesh::Triangle> &support_of(const mesh::TetMesh &mesh)
{
  for (const char *name : {"talar", "rig_support"})
    if (const mesh::Surface *surface = mesh.find_surface(name); surface && !surface->triangles.empty())
      return surface->triangles;
  throw Error("construct: the mesh has no surface talar to stand on");
}

Patch landmark_patch(const mesh::TetMesh &mesh, const PointForce &load)
{
  if (const mesh::Surface *own = mesh.find_surface(load.name))
    return make_patch(mesh, own->triangles);
  const std::vector<mesh::Triangle> skin    = skin_of(mesh, load);
  Vector3                           nearest = centroid(mesh, skin.front());
  for (const mesh::Triangle &t : skin)
    if ((centroid(mesh, t) - load.point_mm).norm() < (nearest - load.point_mm).norm())
      nearest = centroid(mesh, t);
  std::vector<mesh::Triangle> triangles;
  for (double radius = patch_radius_mm;; radius *= 1.25)
  {
    triangles.clear();
    for (const mesh::Triangle &t : skin)
      if ((centroid(mesh, t) - nearest).norm() <= radius)
        triangles.push_back(t);
    if (triangles.size() >= patch_faces || triangles.size() == skin.size())
      return make_patch(mesh, std::move(triangles));
  }
}

void add_resultant(const Elasticity &elasticity, const Patch &patch, const Vector3 &force, const Vector3 &moment,
                   const Vector3 &about, Vector &nodal)
{
  const Vector3 a = force / patch.area_mm2;
  const Vector3 b = patch.second_moment.ldlt().solve(moment - (patch.centre - about).cross(force));
  for_points(elasticity, patch, [&](const Vector3 &x, double weight, const auto &shape, const auto &nodes) {
    const Vector3 t = weight * (a + b.cross(x - patch.centre));
    for (int i = 0; i < 6; ++i)
      nodal.segment<3>(3 * nodes[i]) += shape(i) * t;
  });
}

Vector landmark_forces(const Elasticity &elasticity, const std::vector<PointForce> &loads)
{
  Vector nodal = Vector::Zero(3 * elasticity.n_nodes());
  for (const PointForce &load : loads)
    if (load.force_n.norm() + load.moment_nmm.norm() > 0)
      add_resultant(elasticity, landmark_patch(elasticity.mesh(), load), load.force_n, load.moment_nmm, load.point_mm, nodal);
  return nodal;
}

Resultant resultant_of(const Elasticity &elasticity, const Vector &nodal, const Vector3 &about)
{
  Resultant sum;
  for (std::size_t n = 0; n < elasticity.n_nodes(); ++n)
  {
    sum.force_n += nodal.segment<3>(3 * n);
    sum.moment_nmm += (elasticity.nodes()[n] - about).cross(Vector3(nodal.segment<3>(3 * n)));
  }
  return sum;
}

MeanMotion mean_motion(const Elasticity &elasticity, const Patch &patch, const Vector &u)
{
  MeanMotion mean;
  for_points(elasticity, patch, [&](const Vector3 &x, double weight, const auto &shape, const auto &nodes) {
    Vector3 v = Vector3::Zero();
    for (int i = 0; i < 6; ++i)
      v += shape(i) * u.segment<3>(3 * nodes[i]);
    mean.displacement += weight * v;
    mean.rotation += weight * (x - patch.centre).cross(v);
  });
  mean.displacement /= patch.area_mm2;
  mean.rotation = patch.second_moment.ldlt().solve(mean.rotation);
  return mean;
}

void remove_mean_motion(const Elasticity &elasticity, const Patch &patch, Eigen::Ref<Vector> u)
{
  const MeanMotion mean = mean_motion(elasticity, patch, u);
  for (std::size_t i = 0; i < elasticity.n_nodes(); ++i)
    u.segment<3>(3 * i) -= mean.displacement + mean.rotation.cross(elasticity.nodes()[i] - patch.centre);
}
} // namespace stifle::solver
