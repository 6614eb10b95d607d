// mesh/mesh_file.h - a construct mesh kept in a binary file, every bit of it: made once, read often
//   limits  not a format to exchange: the same kind of machine and the same version of this file
//   errors  Error: the file cannot be written or read, is cut short, or is of another version
#pragma once
#include "mesh/construct.h"

namespace stifle::mesh
{
/// Beside the target and renamed: readers see a whole file or none.
void          write_mesh(const ConstructMesh &construct, const std::string &path);
ConstructMesh read_mesh(const std::string &path);
} // namespace stifle::mesh
