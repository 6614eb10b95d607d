// viz/vtu_grid.h - FieldData as a VTK grid and back; only for the .cc files of this folder
#pragma once
#include "solver/results.h"
#include <vtkSmartPointer.h>

class vtkUnstructuredGrid;

namespace stifle::viz
{
/// Throws Error when array lengths do not fit, an index is out of range or a number is not finite.
void check_field(const FieldData &field);

/// Copies everything; `field` must have passed check_field.
vtkSmartPointer<vtkUnstructuredGrid> make_grid(const FieldData &field);

FieldData mirror(const FieldData &field);
} // namespace stifle::viz
