#include "mesh/occ_solids.h"
#include <gmsh.h>

namespace stifle::mesh
{
DimTags solids(const Tags &tags)
{
  DimTags v;
  for (const int t : tags)
    v.emplace_back(3, t);
  return v;
}

Tags tags_of(const DimTags &list)
{
  Tags t;
  for (const auto &[dim, tag] : list)
    if (dim == 3)
      t.push_back(tag);
  return t;
}

double volume_of(int solid)
{
  double v = 0;
  gmsh::model::occ::getMass(3, solid, v);
  return v;
}
} // namespace stifle::mesh
