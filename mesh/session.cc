#include "mesh/session.h"
#include <cstdlib>
#include <gmsh.h>

namespace stifle::mesh
{
GmshSession::GmshSession()
{
  gmsh::initialize(0, nullptr, false); // no user configuration: the mesh depends on the scenario only
  gmsh::option::setNumber("General.Terminal", std::getenv("STIFLE_GMSH") ? 1 : 0);
  gmsh::option::setNumber("General.NumThreads", 1); // same mesh on every machine
  gmsh::option::setNumber("Mesh.RandomSeed", 1);
  gmsh::model::add("construct");
}

GmshSession::~GmshSession()
{
  try
  {
    gmsh::finalize();
  }
  catch (...)
  {
  }
}
} // namespace stifle::mesh
