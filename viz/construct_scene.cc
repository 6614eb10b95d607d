#include "viz/construct_scene.h"
#include "models/parts/part_name.h"
#include "viz/chart.h"
#include "viz/margin_words.h"
#include <algorithm>
#include <map>
#include <vtkActor.h>
#include <vtkCellType.h>
#include <vtkClipPolyData.h>
#include <vtkColorTransferFunction.h>
#include <vtkDataSetSurfaceFilter.h>
#include <vtkDoubleArray.h>
#include <vtkFeatureEdges.h>
#include <vtkNew.h>
#include <vtkPointData.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper.h>
#include <vtkPolyDataNormals.h>
#include <vtkProperty.h>
#include <vtkUnstructuredGrid.h>

namespace stifle::viz
{
namespace
{
std::vector<char> metal_cells(const FieldData &field)
{
  std::vector<char> metal(field.cells.size());
  for (std::size_t c = 0; c < metal.size(); ++c)
    metal[c] = is_metal(field.part_names[field.part[c]]);
  return metal;
}

/// Points of the chosen cells. `share` joins copies of a node, so that borders inside the bone do not become surfaces.
std::vector<unsigned> shared_points(const FieldData &field, bool share)
{
  std::vector<unsigned> first(field.points_mm.size());
  std::map<int, unsigned> seen;
  for (unsigned p = 0; p < first.size(); ++p)
    first[p] = share ? seen.emplace(field.node[p], p).first->second : p;
  return first;
}

/// The deformed grid of the cells with metal[c] == wanted; carries von Mises stress and the height before deformation.
vtkSmartPointer<vtkUnstructuredGrid> deformed(const FieldData &field, const std::vector<char> &metal, bool wanted, double scale)
{
  auto grid = vtkSmartPointer<vtkUnstructuredGrid>::New();
  vtkNew<vtkPoints> points;
  vtkNew<vtkDoubleArray> stress, height;
  stress->SetName("von_mises_mpa");
  height->SetName("height_mm");
  points->SetDataTypeToDouble();
  for (std::size_t p = 0; p < field.points_mm.size(); ++p)
  {
    const Vector3 x = field.points_mm[p] + scale * field.displacement_mm[p];
    points->InsertNextPoint(x.data());
    stress->InsertNextValue(field.von_mises_mpa[p]);
    height->InsertNextValue(field.points_mm[p].z());
  }
  grid->SetPoints(points);
  grid->GetPointData()->AddArray(stress);
  grid->GetPointData()->AddArray(height);
  const auto first = shared_points(field, !wanted);
  for (std::size_t c = 0; c < field.cells.size(); ++c)
    if (bool(metal[c]) == wanted)
    {
      vtkIdType ids[10];
      for (int i = 0; i < 10; ++i)
        ids[i] = first[field.cells[c][i]];
      grid->InsertNextCell(VTK_QUADRATIC_TETRA, 10, ids);
    }
  return grid;
}

vtkSmartPointer<vtkPolyData> skin(vtkUnstructuredGrid &grid)
{
  vtkNew<vtkDataSetSurfaceFilter> surface;
  surface->SetInputData(&grid);
  surface->SetNonlinearSubdivisionLevel(1); // shows the mid-side nodes
  surface->Update();
  return surface->GetOutput();
}

vtkSmartPointer<vtkPolyData> above(vtkPolyData &surface, double height_mm)
{
  surface.GetPointData()->SetActiveScalars("height_mm");
  vtkNew<vtkClipPolyData> clip;
  clip->SetInputData(&surface);
  clip->SetValue(height_mm);
  clip->Update();
  return clip->GetOutput();
}

vtkSmartPointer<vtkPolyDataMapper> smooth(vtkPolyData &surface)
{
  vtkNew<vtkPolyDataNormals> normals; // without them light and dark stripes follow the triangles
  normals->SetInputData(&surface);
  normals->SetFeatureAngle(35);
  auto mapper = vtkSmartPointer<vtkPolyDataMapper>::New();
  mapper->SetInputConnection(normals->GetOutputPort());
  mapper->ScalarVisibilityOff();
  return mapper;
}

vtkSmartPointer<vtkActor> coloured(vtkPolyData &surface, double top_mpa)
{
  vtkNew<vtkColorTransferFunction> table;
  for (int i = 0; i <= 60; ++i)
  {
    const Colour c = stress_colour(i / 60.0);
    table->AddRGBPoint(top_mpa * i / 60.0, c[0], c[1], c[2]);
  }
  auto mapper = smooth(surface);
  mapper->SetLookupTable(table);
  mapper->ScalarVisibilityOn();
  mapper->SetScalarModeToUsePointFieldData();
  mapper->SelectColorArray("von_mises_mpa");
  mapper->InterpolateScalarsBeforeMappingOn(); // mixes stresses, not colours
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetAmbient(0.35);
  actor->GetProperty()->SetDiffuse(0.65);
  return actor;
}

vtkSmartPointer<vtkActor> plain(vtkPolyData &surface, const Colour &colour)
{
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(smooth(surface));
  actor->GetProperty()->SetColor(colour[0], colour[1], colour[2]);
  actor->GetProperty()->SetAmbient(0.45);
  actor->GetProperty()->SetDiffuse(0.55);
  return actor;
}

vtkSmartPointer<vtkActor> translucent(vtkPolyData &surface)
{
  auto mapper = smooth(surface);
  // The wall of a hole lies exactly on its screw: pushed back, so that the screw is seen without mottling.
  vtkMapper::SetResolveCoincidentTopologyToPolygonOffset();
  mapper->SetRelativeCoincidentTopologyPolygonOffsetParameters(2, 8);
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetColor(bone[0], bone[1], bone[2]);
  actor->GetProperty()->SetOpacity(0.3);
  actor->GetProperty()->SetAmbient(0.3);
  actor->GetProperty()->SetDiffuse(0.7);
  return actor;
}

/// Sharp edges: the cut, the holes, the plateau; the ends of screws.
vtkSmartPointer<vtkActor> edges(vtkPolyData &surface)
{
  vtkNew<vtkFeatureEdges> lines;
  lines->SetInputData(&surface);
  lines->SetFeatureAngle(50);
  lines->BoundaryEdgesOff();
  lines->NonManifoldEdgesOff();
  lines->ColoringOff();
  vtkNew<vtkPolyDataMapper> mapper;
  mapper->SetInputConnection(lines->GetOutputPort());
  mapper->ScalarVisibilityOff();
  auto actor = vtkSmartPointer<vtkActor>::New();
  actor->SetMapper(mapper);
  actor->GetProperty()->SetColor(0.45, 0.40, 0.32);
  actor->GetProperty()->SetLineWidth(2);
  actor->GetProperty()->SetLighting(false);
  return actor;
}

/// Which cells are metal, and where the bone is cropped.
struct Layout
{
  std::vector<char> metal;
  bool any_metal = false, cropped = false;
  double crop_mm = -1e300;
};

Layout layout_of(const FieldData &field)
{
  Layout layout;
  layout.metal = metal_cells(field);
  layout.any_metal = std::find(layout.metal.begin(), layout.metal.end(), 1) != layout.metal.end();
  double lowest_metal = 1e300, lowest = 1e300;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
    for (const unsigned p : field.cells[c])
    {
      lowest = std::min(lowest, field.points_mm[p].z());
      if (layout.metal[c])
        lowest_metal = std::min(lowest_metal, field.points_mm[p].z());
    }
  if (layout.any_metal)
    layout.crop_mm = lowest_metal - bone_below_mm;
  layout.cropped = lowest < layout.crop_mm;
  return layout;
}

vtkSmartPointer<vtkPolyData> shown_bone(const FieldData &field, const Layout &layout, double scale)
{
  const auto whole = skin(*deformed(field, layout.metal, false, scale));
  return layout.cropped ? above(*whole, layout.crop_mm) : whole;
}

/// What the choice of scale and colours needs to know.
struct Measure
{
  std::vector<double> stress; ///< of what is coloured, rising
  double largest_move_mm = 0;
};

Measure measure(const FieldData &field, const Layout &layout)
{
  Measure m;
  for (std::size_t c = 0; c < field.cells.size(); ++c)
    if (bool(layout.metal[c]) == layout.any_metal)
      for (const unsigned p : field.cells[c])
        m.stress.push_back(field.von_mises_mpa[p]);
  std::sort(m.stress.begin(), m.stress.end());
  for (std::size_t p = 0; p < field.points_mm.size(); ++p)
    if (field.points_mm[p].z() > layout.crop_mm)
      m.largest_move_mm = std::max(m.largest_move_mm, field.displacement_mm[p].norm());
  return m;
}

void find_box(ConstructScene &scene)
{
  scene.low = Vector3::Constant(1e300), scene.high = Vector3::Constant(-1e300);
  for (const auto &actor : scene.actors)
  {
    const double *b = actor->GetBounds();
    if (!b || b[0] > b[1])
      continue;
    scene.low = scene.low.cwiseMin(Vector3(b[0], b[2], b[4]));
    scene.high = scene.high.cwiseMax(Vector3(b[1], b[3], b[5]));
  }
}
} // namespace

ConstructScene build_scene(const FieldData &field, double deformation_scale, double top_mpa)
{
  ConstructScene scene;
  const Layout layout = layout_of(field);
  const Measure m = measure(field, layout);
  scene.metal = layout.any_metal, scene.cropped = layout.cropped;
  scene.peak_mpa = m.stress.empty() ? 0 : m.stress.back();
  // The last half per cent is left to the end colour: single points at tied lines would take the whole bar.
  const double most = m.stress.empty() ? 0 : m.stress[std::size_t(0.995 * double(m.stress.size() - 1))];
  scene.top_mpa = top_mpa > 0 ? top_mpa : most > 0 ? round_up(most) : 1;
  scene.deformation_scale = deformation_scale > 0       ? deformation_scale
                            : m.largest_move_mm > 1e-12 ? std::max(1.0, round_down_125(4 / m.largest_move_mm))
                                                        : 1;
  const auto bone_skin = shown_bone(field, layout, scene.deformation_scale);
  if (scene.metal)
  {
    const auto metal = skin(*deformed(field, layout.metal, true, scene.deformation_scale));
    scene.actors = {coloured(*metal, scene.top_mpa), translucent(*bone_skin), edges(*bone_skin)};
  }
  else
    scene.actors = {coloured(*bone_skin, scene.top_mpa), edges(*bone_skin)};
  find_box(scene);
  return scene;
}

ConstructScene build_part_scene(const FieldData &field, const std::vector<Colour> &colours)
{
  ConstructScene scene;
  const Layout layout = layout_of(field);
  scene.metal = layout.any_metal, scene.cropped = layout.cropped;
  for (std::size_t part = 0; part < field.part_names.size(); ++part)
  {
    if (!is_metal(field.part_names[part]))
      continue;
    std::vector<char> own(field.cells.size());
    for (std::size_t c = 0; c < own.size(); ++c)
      own[c] = field.part[c] == int(part);
    auto surface = skin(*deformed(field, own, true, 0));
    scene.actors.push_back(plain(*surface, colours[part]));
    scene.actors.push_back(edges(*surface)); // a screw of the plate's colour is still seen in it
  }
  const auto bone_skin = shown_bone(field, layout, 0);
  scene.actors.push_back(translucent(*bone_skin));
  scene.actors.push_back(edges(*bone_skin));
  find_box(scene);
  return scene;
}
} // namespace stifle::viz
