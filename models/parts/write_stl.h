// models/parts/write_stl.h - a surface of triangles as a binary STL file, mm; the file appears whole or not at all
#pragma once
#include "models/parts/surface.h"

namespace stifle
{
void write_stl(const TriangleSurface &surface, const std::string &file);
} // namespace stifle
