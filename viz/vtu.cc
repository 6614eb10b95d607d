#include "viz/vtu.h"
#include "models/core/error.h"
#include "viz/vtk_threads.h"
#include "viz/vtu_grid.h"
#include <cstdio>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <vtkCellData.h>
#include <vtkCellType.h>
#include <vtkDataArray.h>
#include <vtkFieldData.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkStringArray.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLUnstructuredGridReader.h>
#include <vtkXMLUnstructuredGridWriter.h>

namespace stifle::viz
{
namespace
{
void rename_into_place(const std::string &part, const std::string &path)
{
  if (std::rename(part.c_str(), path.c_str()) != 0)
    throw Error(fmt::format("cannot write {}", path));
}

/// One array of a point or cell set, checked for its shape.
vtkDataArray &array_of(vtkFieldData &data, const char *name, int components, vtkIdType length, const std::string &path)
{
  vtkDataArray *array = data.GetArray(name);
  if (!array || array->GetNumberOfComponents() != components || array->GetNumberOfTuples() != length)
    throw Error(fmt::format("{}: array {} is missing or has another shape", path, name));
  return *array;
}

std::vector<Vector3> read_vectors(vtkDataArray &array)
{
  std::vector<Vector3> values(static_cast<std::size_t>(array.GetNumberOfTuples()));
  for (std::size_t i = 0; i < values.size(); ++i)
    array.GetTuple(static_cast<vtkIdType>(i), values[i].data());
  return values;
}

template <class Number> std::vector<Number> read_numbers(vtkDataArray &array)
{
  std::vector<Number> values(static_cast<std::size_t>(array.GetNumberOfTuples()));
  for (std::size_t i = 0; i < values.size(); ++i)
    values[i] = static_cast<Number>(array.GetComponent(static_cast<vtkIdType>(i), 0));
  return values;
}

void read_cells(vtkUnstructuredGrid &grid, const std::string &path, FieldData &field)
{
  field.cells.resize(static_cast<std::size_t>(grid.GetNumberOfCells()));
  vtkNew<vtkIdList> ids;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
  {
    grid.GetCellPoints(static_cast<vtkIdType>(c), ids);
    if (grid.GetCellType(static_cast<vtkIdType>(c)) != VTK_QUADRATIC_TETRA || ids->GetNumberOfIds() != 10)
      throw Error(fmt::format("{}: cell {} is not a quadratic tetrahedron", path, c));
    for (int i = 0; i < 10; ++i)
      field.cells[c][i] = static_cast<unsigned>(ids->GetId(i));
  }
}

void read_names(vtkUnstructuredGrid &grid, FieldData &field, bool *mirrored)
{
  if (auto *names = vtkStringArray::SafeDownCast(grid.GetFieldData()->GetAbstractArray("part_names")))
    for (vtkIdType i = 0; i < names->GetNumberOfValues(); ++i)
      field.part_names.push_back(names->GetValue(i));
  auto *limb = vtkStringArray::SafeDownCast(grid.GetFieldData()->GetAbstractArray("limb"));
  if (mirrored)
    *mirrored = limb && limb->GetNumberOfValues() == 1 && limb->GetValue(0) == "left";
}
} // namespace

void write_vtu(const std::string &path, const FieldData &field, bool mirrored)
{
  check_field(field);
  keep_vtk_on_one_thread();
  auto grid = make_grid(mirrored ? mirror(field) : field);
  vtkNew<vtkStringArray> limb;
  limb->SetName("limb");
  limb->InsertNextValue(mirrored ? "left" : "right");
  grid->GetFieldData()->AddArray(limb);

  const std::string part = path + ".part";
  vtkNew<vtkXMLUnstructuredGridWriter> writer;
  writer->SetFileName(part.c_str());
  writer->SetInputData(grid);
  writer->SetDataModeToAppended();
  writer->EncodeAppendedDataOff();
  writer->SetCompressorTypeToZLib();
  writer->SetHeaderTypeToUInt64();
  if (!std::ofstream(part) || writer->Write() != 1)
    throw Error(fmt::format("cannot write {}", path));
  rename_into_place(part, path);
}

FieldData read_vtu(const std::string &path, bool *mirrored)
{
  keep_vtk_on_one_thread();
  vtkNew<vtkXMLUnstructuredGridReader> reader;
  if (!std::filesystem::is_regular_file(path) || !reader->CanReadFile(path.c_str()))
    throw Error(fmt::format("cannot read {}: not a VTU file", path));
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkUnstructuredGrid &grid = *reader->GetOutput();
  const vtkIdType n = grid.GetNumberOfPoints(), m = grid.GetNumberOfCells();

  FieldData field;
  field.points_mm = read_vectors(*grid.GetPoints()->GetData());
  read_cells(grid, path, field);
  read_names(grid, field, mirrored);
  auto &points = *grid.GetPointData();
  auto &cells = *grid.GetCellData();
  field.displacement_mm = read_vectors(array_of(points, "displacement_mm", 3, n, path));
  field.force_n = read_vectors(array_of(points, "force_n", 3, n, path));
  field.von_mises_mpa = read_numbers<double>(array_of(points, "von_mises_mpa", 1, n, path));
  field.node = read_numbers<int>(array_of(points, "node", 1, n, path));
  field.part = read_numbers<int>(array_of(cells, "part", 1, m, path));
  field.modulus_mpa = read_numbers<double>(array_of(cells, "modulus_mpa", 1, m, path));
  field.poisson_ratio = read_numbers<double>(array_of(cells, "poisson_ratio", 1, m, path));
  auto &stress = array_of(points, "stress_mpa", 6, n, path);
  field.stress_mpa.resize(static_cast<std::size_t>(n));
  for (vtkIdType i = 0; i < n; ++i)
    stress.GetTuple(i, field.stress_mpa[static_cast<std::size_t>(i)].data());
  check_field(field);
  return field;
}
} // namespace stifle::viz
