// mesh/gmsh_mesh.h - from solids in the open Gmsh session to one conforming mesh, nodes shared everywhere
//   errors  in_session: what Gmsh throws becomes an Error with `words` (where it failed)
//   limits  Gmsh keeps one global session: call from one thread at a time
#pragma once
#include "mesh/construct_cad.h"
#include "mesh/session.h"
#include "mesh/tet_mesh.h"
#include "models/core/error.h"
#include <functional>

namespace stifle::mesh
{
/// Tetrahedra of the solids in the session; `size`: edge length in an entity (dimension, tag) at a place.
using EdgeLength = std::function<double(int dim, int tag, const Vector3 &place)>;
void generate(const EdgeLength &size);
/// Sized by MeshSize, then made better.
void generate(const Scenario &scenario, const ConstructCad &cad);
/// Node and cell arrays of the session; parts in the order given.
TetMesh read_mesh(const std::map<int, std::string> &part_of_volume, const std::vector<std::string> &order);

/// Runs `work` in a session of its own.
template <class Work> auto in_session(const std::string &words, const Work &work)
{
  const GmshSession session;
  try
  {
    return work();
  }
  catch (const std::string &text) // what Gmsh throws
  {
    throw Error("mesh: Gmsh failed " + words + ": " + text + "; another mesh.bone_size_mm or mesh.detail_size_mm may do");
  }
  catch (int code)
  {
    throw Error("mesh: Gmsh failed " + words + ": code " + std::to_string(code));
  }
}
} // namespace stifle::mesh
