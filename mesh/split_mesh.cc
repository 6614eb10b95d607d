#include "mesh/split_mesh.h"
#include <algorithm>
#include <map>
#include <set>

namespace stifle::mesh
{
namespace
{
constexpr double on_plane_mm = 1e-5; // CAD tolerance 1e-7 and round-off of the mesher

class Splitter
{
public:
  using Screws = std::vector<ConstructMesh::Screw>;
  Splitter(const TetMesh &joined, const Anatomy &anatomy, const Levelling &levelling, const Screws &screws)
      : joined_(joined), levelling_(levelling), screws_(screws), hock_z_(anatomy.hock_centre.z())
  {
    plateau_normal_ = levelling.turned(Vector3(-std::sin(anatomy.plateau_angle_rad), 0, std::cos(anatomy.plateau_angle_rad)));
    plateau_origin_ = levelling.moved(Vector3::Zero());
    double_nodes();
    sort_faces();
    exclude_lines();
  }
  TetMesh mesh;

private:
  void double_nodes()
  {
    mesh.parts = joined_.parts;
    mesh.part = joined_.part;
    for (const std::string &p : mesh.parts)
    {
      const ConstructMesh::Screw *screw = screw_named(p);
      mesh.component.push_back(screw && screw->kind == HoleKind::plain ? 3 : component_of(p));
    }
    std::array<std::vector<int>, 4> fresh;
    fresh.fill(std::vector<int>(joined_.points.size(), -1));
    for (std::size_t t = 0; t < joined_.tetrahedra.size(); ++t)
    {
      Tetrahedron c = joined_.tetrahedra[t];
      for (unsigned &v : c)
      {
        int &n = fresh[mesh.component[mesh.part[t]]][v];
        if (n < 0)
        {
          n = mesh.points.size();
          mesh.points.push_back(joined_.points[v]);
          source_.push_back(v);
        }
        v = n;
      }
      mesh.tetrahedra.push_back(c);
    }
  }

  void sort_faces()
  {
    std::map<Triangle, std::vector<BoundaryFace>> groups; // by the nodes before doubling
    for (const BoundaryFace &f : boundary_faces(mesh))
    {
      Triangle key = {source_[f.triangle[0]], source_[f.triangle[1]], source_[f.triangle[2]]};
      std::sort(key.begin(), key.end());
      groups[key].push_back(f);
    }
    for (const auto &[key, faces] : groups)
      if (faces.size() == 2 && is_screw_end(faces))
        for (const BoundaryFace &f : faces)
          add_free(f, "screw_end");
      else if (faces.size() == 2)
        add_pair(faces[0], faces[1]);
      else
        add_free(faces[0], surface_name(faces[0]));
    free_strip();
  }

  /// The flat end of a screw in the bone: no thread is square to its axis.
  bool is_screw_end(const std::vector<BoundaryFace> &pair) const
  {
    if (is_bone(pair[0]) == is_bone(pair[1]))
      return false;
    const ConstructMesh::Screw *screw = screw_named(part_name(is_bone(pair[0]) ? pair[1] : pair[0]));
    if (!screw) // the plate
      return false;
    const Triangle &t = pair[0].triangle;
    const Vector3 &a = mesh.points[t[0]], n = (mesh.points[t[1]] - a).cross(mesh.points[t[2]] - a).normalized();
    return std::abs(n.dot((screw->head - screw->tip).normalized())) > 1 - 1e-6;
  }

  const ConstructMesh::Screw *screw_named(const std::string &part) const
  {
    const auto found = std::find_if(screws_.begin(), screws_.end(), [&](const ConstructMesh::Screw &k) { return k.name == part; });
    return found == screws_.end() ? nullptr : &*found;
  }

  unsigned component(const BoundaryFace &f) const { return mesh.component[mesh.part[f.tetrahedron]]; }
  bool is_bone(const BoundaryFace &f) const { return component(f) < 2; }
  const std::string &part_name(const BoundaryFace &f) const { return mesh.parts[mesh.part[f.tetrahedron]]; }

  void add_pair(BoundaryFace first, BoundaryFace second)
  {
    if (component(first) > component(second))
      std::swap(first, second); // proximal before distal, bone before metal, plate before plain screw
    std::vector<FacePair> *list = &mesh.cut;
    if (!is_bone(first))
      list = &mesh.seats;
    else if (!is_bone(second))
      list = part_name(second) == "plate" ? &mesh.plate_contact : &mesh.threads;
    if (list == &mesh.threads)
      std::swap(first, second);
    FacePair pair;
    pair.a = first.triangle;
    pair.part_a = mesh.part[first.tetrahedron];
    pair.part_b = mesh.part[second.tetrahedron];
    for (int c = 0; c < 3; ++c)
      for (const unsigned v : second.triangle)
        if (source_[v] == source_[pair.a[c]])
          pair.b[c] = v;
    list->push_back(pair);
  }

  /// Takes the pairs of plate and bone that reach the cut out of the contact, and those on the steps of the cut: a plate does not
  /// hook into them.
  void free_strip()
  {
    std::set<unsigned> paired; // by the nodes before doubling
    for (const FacePair &p : mesh.cut)
      for (const unsigned v : p.a)
        paired.insert(source_[v]);
    std::vector<FacePair> kept;
    Surface strip{"plate_strip", {}};
    for (const FacePair &p : mesh.plate_contact)
      if (on_cut(p.a) || std::any_of(p.b.begin(), p.b.end(), [&](unsigned v) { return paired.count(source_[v]) > 0; }))
        strip.triangles.insert(strip.triangles.end(), {p.a, p.b});
      else
        kept.push_back(p);
    mesh.plate_contact = kept;
    if (!strip.triangles.empty())
      mesh.surfaces.push_back(strip);
  }

  template <class Test> bool all(const Triangle &t, Test test) const
  {
    return std::all_of(t.begin(), t.end(), [&](unsigned v) { return test(mesh.points[v]); });
  }

  std::string surface_name(const BoundaryFace &f) const
  {
    if (!is_bone(f))
      return part_name(f) == "plate" ? "plate_outer" : "screw_outer";
    if (all(f.triangle, [&](const Vector3 &p) { return std::abs(plateau_normal_.dot(p - plateau_origin_)) < on_plane_mm; }))
      return "plateau";
    if (all(f.triangle, [&](const Vector3 &p) { return std::abs(p.z() - hock_z_) < on_plane_mm; }))
      return "talar";
    const std::string side = component(f) == 0 ? "proximal" : "distal";
    return (on_cut(f.triangle) ? "cut_free_" : "outer_") + side;
  }

  /// Corners on the cylinder, and the normal along its radius: a sliver of skin may have all corners on the cut curve.
  bool on_cut(const Triangle &t) const
  {
    const auto radius = [&](const Vector3 &p)
    { return std::hypot(p.x() - levelling_.centre.x(), p.z() - levelling_.centre.z()); };
    if (!levelling_.cut || !all(t, [&](const Vector3 &p) { return std::abs(radius(p) - levelling_.radius_mm) < on_plane_mm; }))
      return false;
    const Vector3 &a = mesh.points[t[0]], n = (mesh.points[t[1]] - a).cross(mesh.points[t[2]] - a).normalized();
    return std::abs(n.y()) < 0.5;
  }

  void add_free(const BoundaryFace &f, const std::string &name)
  {
    auto it = std::find_if(mesh.surfaces.begin(), mesh.surfaces.end(), [&](const Surface &s) { return s.name == name; });
    if (it == mesh.surfaces.end())
      it = mesh.surfaces.insert(it, {name, {}});
    it->triangles.push_back(f.triangle);
  }

  /// Edges met once in a set of triangles.
  void exclude_rim(const std::vector<Triangle> &triangles)
  {
    std::map<std::pair<unsigned, unsigned>, int> count;
    for (const Triangle &t : triangles)
      for (int i = 0; i < 3; ++i)
        ++count[std::minmax(t[i], t[(i + 1) % 3])];
    for (const auto &[edge, n] : count)
      if (n == 1)
        mesh.excluded.push_back({mesh.points[edge.first], mesh.points[edge.second]});
  }

  void exclude_lines()
  {
    std::vector<Triangle> cut;
    for (const FacePair &p : mesh.cut)
      cut.push_back(p.b);
    exclude_rim(cut); // the end of contact, and with it the re-entrant edges at the steps
    for (unsigned part = 0; part < mesh.parts.size(); ++part)
    {
      std::vector<Triangle> thread;
      for (const FacePair &p : mesh.threads)
        if (p.part_a == part)
          thread.push_back(p.a);
      exclude_rim(thread); // entry and exit of a screw
    }
    exclude_rim(plate_faces()); // they end only at the holes whose screws are tied or seated
  }

  /// Faces of the plate that are free or only press.
  std::vector<Triangle> plate_faces() const
  {
    std::vector<Triangle> faces;
    if (const Surface *plate = mesh.find_surface("plate_outer"))
      faces = plate->triangles;
    for (const FacePair &p : mesh.plate_contact)
      faces.push_back(p.b);
    if (const Surface *strip = mesh.find_surface("plate_strip")) // bone, plate, bone, plate ...
      for (std::size_t i = 1; i < strip->triangles.size(); i += 2)
        faces.push_back(strip->triangles[i]);
    return faces;
  }

  const TetMesh &joined_;
  const Levelling &levelling_;
  const Screws &screws_;
  double hock_z_;
  Vector3 plateau_normal_, plateau_origin_;
  std::vector<unsigned> source_; // node before doubling
};
} // namespace

unsigned component_of(const std::string &part)
{
  const auto ends = [&](const std::string &tail)
  { return part.size() >= tail.size() && part.compare(part.size() - tail.size(), tail.size(), tail) == 0; };
  return ends("_proximal") ? 0 : ends("_distal") ? 1 : 2;
}

TetMesh split_components(const TetMesh &joined, const Anatomy &anatomy, const Levelling &levelling,
                         const std::vector<ConstructMesh::Screw> &screws)
{
  return std::move(Splitter(joined, anatomy, levelling, screws).mesh);
}
} // namespace stifle::mesh
