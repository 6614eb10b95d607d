#include "solver/support_springs.h"
#include "models/core/error.h"
#include "solver/reference_element.h"
#include <algorithm>
#include <map>

namespace stifle::solver
{
Eigen::MatrixXd thread_stiffness(double stiffness)
{
  const auto &mass = reference_element().face_mass;
  Eigen::MatrixXd k = Eigen::MatrixXd::Zero(36, 36);
  for (int i = 0; i < 12; ++i)
    for (int j = 0; j < 12; ++j)
      k.block<3, 3>(3 * i, 3 * j) = ((i < 6) == (j < 6) ? 1 : -1) * stiffness * mass(i % 6, j % 6) * Matrix3::Identity();
  return k;
}

namespace
{
mesh::Triangle sorted(mesh::Triangle t)
{
  std::sort(t.begin(), t.end());
  return t;
}

// Bone cell behind each thread face.
std::vector<std::size_t> cells_behind_threads(const mesh::TetMesh &mesh)
{
  std::map<mesh::Triangle, std::size_t> face_of;
  for (std::size_t f = 0; f < mesh.threads.size(); ++f)
    face_of[sorted(mesh.threads[f].b)] = f;
  constexpr std::size_t none = std::size_t(-1);
  std::vector<std::size_t> cells(mesh.threads.size(), none);
  std::vector<char> on_face(mesh.points.size(), 0);
  for (const mesh::FacePair &face : mesh.threads)
    for (const unsigned v : face.b)
      on_face[v] = 1;
  for (std::size_t c = 0; c < mesh.tetrahedra.size(); ++c)
    for (int skip = 0; skip < 4; ++skip)
    {
      const mesh::Tetrahedron &t = mesh.tetrahedra[c];
      const mesh::Triangle triangle{{t[(skip + 1) % 4], t[(skip + 2) % 4], t[(skip + 3) % 4]}};
      if (!on_face[triangle[0]] || !on_face[triangle[1]] || !on_face[triangle[2]])
        continue;
      const auto found = face_of.find(sorted(triangle));
      if (found != face_of.end())
        cells[found->second] = c;
    }
  if (std::find(cells.begin(), cells.end(), none) != cells.end())
    throw Error("construct: a thread face lies on no bone cell");
  return cells;
}
} // namespace

std::vector<double> thread_moduli(const Elasticity &e)
{
  const mesh::TetMesh &mesh = e.mesh();
  std::vector<double> moduli;
  const std::vector<std::size_t> cells = cells_behind_threads(mesh);
  for (std::size_t f = 0; f < cells.size(); ++f)
  {
    const mesh::Triangle &t = mesh.threads[f].b;
    const Vector3 normal = (mesh.points[t[1]] - mesh.points[t[0]]).cross(mesh.points[t[2]] - mesh.points[t[0]]).normalized();
    const GeneralLaw *law = e.law(cells[f]);
    moduli.push_back(law ? young_modulus(*law, normal) : e.material(cells[f]).modulus_mpa);
  }
  return moduli;
}

std::vector<ThreadFace> thread_faces(const Elasticity &e, const ConstructMaterials &materials)
{
  const std::vector<double> moduli = thread_moduli(e);
  std::vector<ThreadFace> faces;
  for (std::size_t f = 0; f < moduli.size(); ++f)
  {
    const mesh::FacePair &face = e.mesh().threads[f];
    const auto a = e.face_nodes(face.a), b = e.face_nodes(face.b);
    const auto &x = e.nodes();
    ThreadFace t;
    std::copy(a.begin(), a.end(), t.nodes.begin());
    std::copy(b.begin(), b.end(), t.nodes.begin() + 6);
    t.stiffness_area = 0.5 * (x[a[1]] - x[a[0]]).cross(x[a[2]] - x[a[0]]).norm() * moduli[f] /
                       materials.thread_depth(e.mesh().parts.at(face.part_a));
    faces.push_back(t);
  }
  return faces;
}

void add_thread_force(const std::vector<ThreadFace> &threads, const Eigen::Ref<const Eigen::VectorXd> &u, Eigen::Ref<Eigen::VectorXd> nodal)
{
  for (const ThreadFace &t : threads)
    for (int i = 0; i < 6; ++i)
    {
      Vector3 f = Vector3::Zero();
      for (int j = 0; j < 6; ++j)
        f -= t.stiffness_area * reference_element().face_mass(i, j) * (u.segment<3>(3 * t.nodes[j]) - u.segment<3>(3 * t.nodes[6 + j]));
      nodal.segment<3>(3 * t.nodes[i]) += f;
      nodal.segment<3>(3 * t.nodes[6 + i]) -= f;
    }
}

std::array<NodeSpring, 3> rigid_pins(const mesh::TetMesh &mesh)
{
  const auto &x = mesh.points;
  std::vector<unsigned> distal;
  const auto &c = mesh.component;
  const bool bone = std::find(c.begin(), c.end(), 1u) != c.end(), any_bone = bone || std::find(c.begin(), c.end(), 0u) != c.end();
  for (std::size_t t = 0; t < mesh.tetrahedra.size(); ++t)
    if (mesh.component.at(mesh.part[t]) == 1 || !any_bone)
      distal.insert(distal.end(), mesh.tetrahedra[t].begin(), mesh.tetrahedra[t].end());
  if (distal.empty())
    throw Error("construct: the mesh has no distal bone (component 1)");
  const auto farthest = [&](auto measure)
  { return *std::max_element(distal.begin(), distal.end(), [&](unsigned i, unsigned j) { return measure(i) < measure(j); }); };
  const unsigned low = farthest([&](unsigned i) { return -x[i].z(); });
  const unsigned far = farthest([&](unsigned i) { return (x[i] - x[low]).norm(); });
  const Vector3 line = (x[far] - x[low]).normalized();
  const unsigned side = farthest([&](unsigned i) { return line.cross(x[i] - x[low]).norm(); });
  const Vector3 normal = line.cross(x[side] - x[low]).normalized();
  return {{{low, Matrix3::Identity()}, {far, Matrix3::Identity() - line * line.transpose()}, {side, normal * normal.transpose()}}};
}
} // namespace stifle::solver
