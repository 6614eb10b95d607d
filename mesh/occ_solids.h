// mesh/occ_solids.h - solids of the open Gmsh session by their tags
#pragma once
#include <string>
#include <utility>
#include <vector>

namespace stifle::mesh
{
using Tags = std::vector<int>;
using DimTags = std::vector<std::pair<int, int>>;             ///< Gmsh's dimension and tag
using NamedSolids = std::vector<std::pair<int, std::string>>; ///< tag and the part it becomes

DimTags solids(const Tags &tags);
Tags tags_of(const DimTags &list); ///< of its solids
double volume_of(int solid);       ///< mm3
} // namespace stifle::mesh
