// scenarios/app/mesh_store.h - meshes of slopes in DIR/meshes, by the hash of what they are made from
//   hash     every key of the scenario but those that no mesh reads (loads, weeks, materials, study, output ...), the landmarks of the
//            bone, the cut, the content of the files a mesh comes from, and the program: one of them changed, and the slope is meshed
//            anew. A new key counts until it is listed in mesh_store.cc
//   process  Gmsh keeps one global session, so slopes that mesh at the same time do so in processes of their own (`stifle mesh-slope`)
#pragma once
#include "mesh/construct.h"
#include <mutex>

namespace stifle::app
{
/// 16 hex digits.
std::string mesh_hash(const Scenario &scenario, const Anatomy &anatomy, const Levelling &levelling);

struct MeshOrder
{
  const Scenario  &scenario;
  const Anatomy   &anatomy;
  const Levelling &levelling;
  std::string      folder;      ///< DIR/meshes; made when missing
  bool             own_process = false; ///< for a mesh that is not there yet
};
struct StoredMesh
{
  mesh::ConstructMesh construct;
  bool                reused = false;
};
/// `mesher` is held while this process meshes. Throws Error like mesh_construct. A file that cannot be read is made anew.
StoredMesh stored_mesh(const MeshOrder &order, std::mutex &mesher);

/// What the process of its own does: `request` is a scenario, DIR/meshes/HASH.yaml; leaves HASH.mesh beside it. Returns the exit code.
int mesh_slope_command(const std::string &request);
/// The program that knows `mesh-slope`; none is started before.
void set_mesh_program(const std::string &path);
} // namespace stifle::app
