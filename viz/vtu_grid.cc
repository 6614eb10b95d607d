#include "viz/vtu_grid.h"
#include "models/core/error.h"
#include <fmt/format.h>
#include <vtkCellData.h>
#include <vtkCellType.h>
#include <vtkDoubleArray.h>
#include <vtkFieldData.h>
#include <vtkIdTypeArray.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkStringArray.h>
#include <vtkTypeInt32Array.h>
#include <vtkTypeInt64Array.h>
#include <vtkUnstructuredGrid.h>

namespace stifle::viz
{
namespace
{
void expect_length(const char *name, std::size_t found, std::size_t wanted)
{
  if (found != wanted)
    throw Error(fmt::format("field file: {} has {} entries, {} are needed", name, found, wanted));
}

template <class Values> void expect_finite(const char *name, const Values &values)
{
  for (std::size_t i = 0; i < values.size(); ++i)
    for (const double x : values[i])
      if (!std::isfinite(x))
        throw Error(fmt::format("field file: {} of entry {} is not a finite number", name, i));
}

std::vector<std::array<double, 1>> columns(const std::vector<double> &values)
{
  std::vector<std::array<double, 1>> rows(values.size());
  for (std::size_t i = 0; i < values.size(); ++i)
    rows[i] = {values[i]};
  return rows;
}

vtkSmartPointer<vtkDoubleArray> vectors(const char *name, const std::vector<Vector3> &values)
{
  auto array = vtkSmartPointer<vtkDoubleArray>::New();
  array->SetName(name);
  array->SetNumberOfComponents(3);
  array->SetNumberOfTuples(static_cast<vtkIdType>(values.size()));
  for (std::size_t i = 0; i < values.size(); ++i)
    array->SetTuple(static_cast<vtkIdType>(i), values[i].data());
  return array;
}

vtkSmartPointer<vtkDoubleArray> numbers(const char *name, const std::vector<double> &values)
{
  auto array = vtkSmartPointer<vtkDoubleArray>::New();
  array->SetName(name);
  array->SetNumberOfTuples(static_cast<vtkIdType>(values.size()));
  for (std::size_t i = 0; i < values.size(); ++i)
    array->SetValue(static_cast<vtkIdType>(i), values[i]);
  return array;
}

template <class Array> vtkSmartPointer<Array> integers(const char *name, const std::vector<int> &values)
{
  auto array = vtkSmartPointer<Array>::New();
  array->SetName(name);
  array->SetNumberOfTuples(static_cast<vtkIdType>(values.size()));
  for (std::size_t i = 0; i < values.size(); ++i)
    array->SetValue(static_cast<vtkIdType>(i), values[i]);
  return array;
}

vtkSmartPointer<vtkDoubleArray> stresses(const std::vector<std::array<double, 6>> &values)
{
  auto array = vtkSmartPointer<vtkDoubleArray>::New();
  array->SetName("stress_mpa");
  array->SetNumberOfComponents(6);
  const char *names[] = {"XX", "YY", "ZZ", "XY", "YZ", "XZ"}; // VTK's order of a symmetric tensor
  for (int c = 0; c < 6; ++c)
    array->SetComponentName(c, names[c]);
  array->SetNumberOfTuples(static_cast<vtkIdType>(values.size()));
  for (std::size_t i = 0; i < values.size(); ++i)
    array->SetTuple(static_cast<vtkIdType>(i), values[i].data());
  return array;
}

void add_cells(const FieldData &field, vtkUnstructuredGrid &grid)
{
  grid.Allocate(static_cast<vtkIdType>(field.cells.size()));
  for (const auto &cell : field.cells)
  {
    vtkIdType ids[10];
    std::copy(cell.begin(), cell.end(), ids);
    grid.InsertNextCell(VTK_QUADRATIC_TETRA, 10, ids);
  }
}
} // namespace

void check_field(const FieldData &f)
{
  const std::size_t n = f.points_mm.size(), m = f.cells.size();
  expect_length("node", f.node.size(), n);
  expect_length("displacement_mm", f.displacement_mm.size(), n);
  expect_length("force_n", f.force_n.size(), n);
  expect_length("stress_mpa", f.stress_mpa.size(), n);
  expect_length("von_mises_mpa", f.von_mises_mpa.size(), n);
  expect_length("part", f.part.size(), m);
  expect_length("modulus_mpa", f.modulus_mpa.size(), m);
  expect_length("poisson_ratio", f.poisson_ratio.size(), m);
  for (std::size_t c = 0; c < m; ++c)
  {
    for (const unsigned p : f.cells[c])
      if (p >= n)
        throw Error(fmt::format("field file: cell {} uses point {} of {}", c, p, n));
    if (f.part[c] < 0 || f.part[c] >= static_cast<int>(f.part_names.size()))
      throw Error(fmt::format("field file: cell {} has part {}, there are {} names", c, f.part[c], f.part_names.size()));
  }
  expect_finite("points_mm", f.points_mm);
  expect_finite("displacement_mm", f.displacement_mm);
  expect_finite("force_n", f.force_n);
  expect_finite("stress_mpa", f.stress_mpa);
  expect_finite("von_mises_mpa", columns(f.von_mises_mpa));
  expect_finite("modulus_mpa", columns(f.modulus_mpa));
  expect_finite("poisson_ratio", columns(f.poisson_ratio));
}

vtkSmartPointer<vtkUnstructuredGrid> make_grid(const FieldData &field)
{
  auto grid = vtkSmartPointer<vtkUnstructuredGrid>::New();
  vtkNew<vtkPoints> points;
  points->SetDataTypeToDouble();
  points->SetNumberOfPoints(static_cast<vtkIdType>(field.points_mm.size()));
  for (std::size_t i = 0; i < field.points_mm.size(); ++i)
    points->SetPoint(static_cast<vtkIdType>(i), field.points_mm[i].data());
  grid->SetPoints(points);
  add_cells(field, *grid);

  grid->GetPointData()->AddArray(vectors("displacement_mm", field.displacement_mm));
  grid->GetPointData()->AddArray(vectors("force_n", field.force_n));
  grid->GetPointData()->AddArray(numbers("von_mises_mpa", field.von_mises_mpa));
  grid->GetPointData()->AddArray(stresses(field.stress_mpa));
  grid->GetPointData()->AddArray(integers<vtkTypeInt64Array>("node", field.node));
  grid->GetCellData()->AddArray(integers<vtkTypeInt32Array>("part", field.part));
  grid->GetCellData()->AddArray(numbers("modulus_mpa", field.modulus_mpa));
  grid->GetCellData()->AddArray(numbers("poisson_ratio", field.poisson_ratio));

  vtkNew<vtkStringArray> names;
  names->SetName("part_names");
  for (const std::string &name : field.part_names)
    names->InsertNextValue(name);
  grid->GetFieldData()->AddArray(names);
  return grid;
}

FieldData mirror(const FieldData &field)
{
  FieldData left = field;
  for (auto *values : {&left.points_mm, &left.displacement_mm, &left.force_n})
    for (Vector3 &v : *values)
      v.y() = -v.y();
  for (auto &s : left.stress_mpa) // xx yy zz xy yz xz: only terms with a single y change sign
    s[3] = -s[3], s[4] = -s[4];
  // A reflection turns cells inside out; exchanging corners 1 and 2 (and the edges with them) turns them back.
  constexpr int order[10] = {0, 2, 1, 3, 6, 5, 4, 7, 9, 8};
  for (std::size_t c = 0; c < field.cells.size(); ++c)
    for (int i = 0; i < 10; ++i)
      left.cells[c][i] = field.cells[c][order[i]];
  return left;
}
} // namespace stifle::viz
