#include "mesh/mesh_file.h"
#include "models/core/error.h"
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <unistd.h>

namespace stifle::mesh
{
namespace
{
constexpr std::uint64_t version = 0x2E6D657368000001; // of the layout below

/// One visit function serves both ways.
class Out
{
public:
  explicit Out(const std::string &path) : file_(path, std::ios::binary), path_(path) {}
  template <class T> void plain(T &value) { file_.write(reinterpret_cast<const char *>(&value), sizeof(T)); }
  void text(std::string &s)
  {
    size(s);
    file_.write(s.data(), static_cast<std::streamsize>(s.size()));
  }
  template <class List> void size(List &list)
  {
    std::uint64_t n = list.size();
    plain(n);
  }
  template <class T> void plain_list(std::vector<T> &list)
  {
    size(list);
    file_.write(reinterpret_cast<const char *>(list.data()), static_cast<std::streamsize>(list.size() * sizeof(T)));
  }
  void check()
  {
    if (!file_.flush())
      throw Error("cannot write " + path_);
  }

private:
  std::ofstream file_;
  std::string   path_;
};

class In
{
public:
  explicit In(const std::string &path) : file_(path, std::ios::binary), path_(path) {}
  template <class T> void plain(T &value) { file_.read(reinterpret_cast<char *>(&value), sizeof(T)); }
  void text(std::string &s)
  {
    size(s);
    file_.read(&s[0], static_cast<std::streamsize>(s.size()));
  }
  template <class List> void size(List &list)
  {
    std::uint64_t n = 0;
    plain(n);
    if (!file_ || n > (std::uint64_t(1) << 31))
      throw Error("cannot read " + path_);
    list.resize(n);
  }
  template <class T> void plain_list(std::vector<T> &list)
  {
    size(list);
    file_.read(reinterpret_cast<char *>(list.data()), static_cast<std::streamsize>(list.size() * sizeof(T)));
  }
  void check()
  {
    if (!file_)
      throw Error("cannot read " + path_);
  }

private:
  std::ifstream file_;
  std::string   path_;
};

template <class File> void visit_mesh(File &file, TetMesh &m)
{
  file.plain_list(m.points);
  file.plain_list(m.tetrahedra);
  file.plain_list(m.part);
  file.size(m.parts);
  for (std::string &name : m.parts)
    file.text(name);
  file.plain_list(m.component);
  for (auto *pairs : {&m.cut, &m.threads, &m.plate_contact, &m.seats})
    file.plain_list(*pairs);
  file.size(m.surfaces);
  for (Surface &s : m.surfaces)
  {
    file.text(s.name);
    file.plain_list(s.triangles);
  }
  file.plain_list(m.excluded);
}

template <class File> void visit(File &file, ConstructMesh &c)
{
  std::uint64_t found = version;
  file.plain(found);
  if (found != version)
    throw Error("a mesh file of another version");
  visit_mesh(file, c.mesh);
  for (double *value : {&c.cut_area_mm2, &c.plateau_angle_rad, &c.chord_mm, &c.worst_quality})
    file.plain(*value);
  file.plain(c.n_merged);
  file.size(c.warnings);
  for (std::string &warning : c.warnings)
    file.text(warning);
  file.size(c.screws);
  for (ConstructMesh::Screw &s : c.screws)
  {
    file.text(s.name);
    for (Vector3 *x : {&s.head, &s.entry, &s.tip, &s.along})
      file.plain(*x);
    file.plain(s.proximal);
    file.plain(s.kind);
    for (double *value : {&s.core_mm, &s.major_mm, &s.preload_n, &s.compression_n})
      file.plain(*value);
  }
  file.check();
}
} // namespace

void write_mesh(const ConstructMesh &construct, const std::string &path)
{
  ConstructMesh     copy    = construct;
  const std::string partial = path + ".part" + std::to_string(getpid());
  Out               file(partial);
  visit(file, copy);
  std::filesystem::rename(partial, path);
}

ConstructMesh read_mesh(const std::string &path)
{
  ConstructMesh construct;
  In            file(path);
  visit(file, construct);
  return construct;
}
} // namespace stifle::mesh
