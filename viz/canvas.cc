#include "viz/canvas.h"
#include "models/core/error.h"
#include "viz/vtk_threads.h"
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <vtkActor2D.h>
#include <vtkCamera.h>
#include <vtkCellArray.h>
#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGWriter.h>
#include <vtkPointData.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>
#include <vtkPolyDataMapper2D.h>
#include <vtkProperty2D.h>
#include <vtkRenderWindow.h>
#include <vtkRenderer.h>
#include <vtkTextActor.h>
#include <vtkTextProperty.h>
#include <vtkTextRenderer.h>
#include <vtkTriangleFilter.h>
#include <vtkUnsignedCharArray.h>
#include <vtkWindowToImageFilter.h>

namespace stifle::viz
{
namespace
{
constexpr int fine = 2; // drawn pixels per saved pixel and direction
constexpr double whole_pi = 3.14159265358979323846;

void set_font(vtkTextProperty &property, const TextStyle &style)
{
  const std::string folder = "/usr/share/fonts/truetype/dejavu/";
  const std::string file = folder + (style.bold ? "DejaVuSans-Bold.ttf" : "DejaVuSans.ttf");
  if (std::filesystem::exists(file))
  {
    property.SetFontFamily(VTK_FONT_FILE);
    property.SetFontFile(file.c_str());
  }
  else
    property.SetBold(style.bold);
  property.SetFontSize(static_cast<int>(style.size * fine));
  property.SetColor(style.colour[0], style.colour[1], style.colour[2]);
}

/// Average of fine x fine pixels.
vtkSmartPointer<vtkImageData> shrink(vtkImageData &large, int width, int height)
{
  auto small = vtkSmartPointer<vtkImageData>::New();
  small->SetDimensions(width, height, 1);
  small->AllocateScalars(VTK_UNSIGNED_CHAR, 3);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      for (int c = 0; c < 3; ++c)
      {
        int sum = 0;
        for (int k = 0; k < fine * fine; ++k)
          sum += static_cast<unsigned char *>(large.GetScalarPointer(fine * x + k % fine, fine * y + k / fine, 0))[c];
        static_cast<unsigned char *>(small->GetScalarPointer(x, y, 0))[c] = static_cast<unsigned char>(sum / (fine * fine));
      }
  return small;
}

/// Cuts a line into the pieces that a dash pattern leaves; lengths in pixels.
std::vector<Pixels> dashes(const Pixels &points, const std::vector<double> &pattern)
{
  std::vector<Pixels> pieces;
  std::size_t step = 0;
  double left = pattern[0];
  Pixels piece{points.front()};
  for (std::size_t i = 1; i < points.size(); ++i)
  {
    Pixel at = points[i - 1];
    double length = (points[i] - at).norm();
    while (length > left)
    {
      at += (points[i] - at).normalized() * left;
      length -= left;
      piece.push_back(at);
      if (step % 2 == 0)
        pieces.push_back(piece);
      piece = {at};
      step = step + 1;
      left = pattern[step % pattern.size()];
    }
    left -= length;
    piece.push_back(points[i]);
  }
  if (step % 2 == 0 && piece.size() > 1)
    pieces.push_back(piece);
  return pieces;
}
} // namespace

struct Canvas::Implementation
{
  int width, height;
  vtkNew<vtkRenderWindow> window;
  vtkNew<vtkRenderer> sheet, flat;
  vtkNew<vtkPoints> points;
  vtkNew<vtkCellArray> polygons;
  vtkNew<vtkUnsignedCharArray> colours; ///< per point: red, green, blue, opacity
  std::vector<vtkSmartPointer<vtkTextActor>> words;

  void add_polygon(const Pixels &corners, const Colour &colour, double opacity)
  {
    polygons->InsertNextCell(static_cast<vtkIdType>(corners.size()));
    for (const Pixel &p : corners)
    {
      polygons->InsertCellPoint(points->InsertNextPoint(p.x() * fine, p.y() * fine, 0));
      for (const double part : {colour[0], colour[1], colour[2], opacity})
        colours->InsertNextValue(static_cast<unsigned char>(std::lround(255 * part)));
    }
  }

  /// One actor for all shapes, in the order they were drawn; an actor each would take seconds.
  void add_shapes()
  {
    vtkNew<vtkPolyData> shape;
    shape->SetPoints(points);
    shape->SetPolys(polygons);
    shape->GetPointData()->SetScalars(colours);
    vtkNew<vtkTriangleFilter> triangles; // the 2-D mapper fills convex shapes only
    triangles->SetInputData(shape);
    vtkNew<vtkPolyDataMapper2D> mapper;
    mapper->SetInputConnection(triangles->GetOutputPort());
    vtkNew<vtkActor2D> actor;
    actor->SetMapper(mapper);
    flat->AddActor2D(actor);
    for (const auto &word : words)
      flat->AddActor2D(word); // letters always lie on top
  }
};

Canvas::Canvas(int width, int height) : impl_(std::make_unique<Implementation>())
{
  keep_vtk_on_one_thread();
  impl_->width = width;
  impl_->height = height;
  auto &window = *impl_->window;
  window.SetOffScreenRendering(1);
  window.SetMultiSamples(0);
  window.SetAlphaBitPlanes(1); // depth peeling of translucent bone needs it
  window.SetSize(width * fine, height * fine);
  window.SetNumberOfLayers(3);
  impl_->colours->SetNumberOfComponents(4);
  impl_->sheet->SetBackground(1, 1, 1);
  impl_->sheet->SetLayer(0);
  impl_->flat->SetLayer(2);
  window.AddRenderer(impl_->sheet);
  window.AddRenderer(impl_->flat);
}
Canvas::~Canvas() = default;
double Canvas::width() const { return impl_->width; }
double Canvas::height() const { return impl_->height; }

void Canvas::polygon(const Pixels &corners, const Colour &colour, double opacity)
{
  impl_->add_polygon(corners, colour, opacity);
}

void Canvas::frame(const Pixel &low, const Pixel &high, const Colour &colour, double width)
{
  Pixels corners = rectangle(low, high);
  corners.push_back(low);
  line(corners, colour, width);
}

void Canvas::line(const Pixels &points, const Colour &colour, double width, Dash dash)
{
  if (points.size() < 2)
    return;
  if (dash != Dash::solid)
  {
    const double w = std::max(width, 1.5);
    const std::vector<double> pattern = dash == Dash::dashed   ? std::vector<double>{5 * w, 3 * w}
                                        : dash == Dash::dotted ? std::vector<double>{1.2 * w, 2 * w}
                                                               : std::vector<double>{6 * w, 2 * w, 1.2 * w, 2 * w};
    for (const Pixels &piece : dashes(points, pattern))
      line(piece, colour, width);
    return;
  }
  for (std::size_t i = 1; i < points.size(); ++i)
  {
    const Pixel along = points[i] - points[i - 1];
    if (along.norm() < 1e-9)
      continue;
    const Pixel side = Pixel(-along.y(), along.x()).normalized() * width / 2;
    polygon({points[i - 1] - side, points[i] - side, points[i] + side, points[i - 1] + side}, colour);
    if (i + 1 < points.size() && width > 2)
      disc(points[i], width / 2, colour); // fills the notch at the bend
  }
}

void Canvas::circle(const Pixel &centre, double radius, const Colour &colour, double width)
{
  line(arc(centre, radius, 0, 2 * whole_pi), colour, width);
}

void Canvas::disc(const Pixel &centre, double radius, const Colour &fill, double opacity)
{
  polygon(arc(centre, radius, 0, 2 * whole_pi * (1 - 1.0 / 48)), fill, opacity);
}

void Canvas::arrow(const Pixel &from, const Pixel &to, const Colour &colour, double width)
{
  const Pixel way = to - from;
  if (way.norm() < 1e-9)
    return;
  const double head = std::min(3.6 * width, way.norm()); // a short arrow is all head
  const Pixel along = way.normalized(), side(-along.y(), along.x()), neck = to - along * head;
  if (way.norm() > head)
    line({from, neck + along * 0.5}, colour, width);
  polygon({to, neck + side * head * 0.45, neck - side * head * 0.45}, colour);
}

void Canvas::marker(const Pixel &at, Marker kind, double size, const Colour &colour)
{
  const double r = size / 2;
  if (kind == Marker::circle)
    disc(at, r, colour);
  else if (kind == Marker::square)
    polygon({at + Pixel(-r, -r), at + Pixel(r, -r), at + Pixel(r, r), at + Pixel(-r, r)}, colour);
  else if (kind == Marker::triangle)
    polygon({at + Pixel(-1.15 * r, -0.8 * r), at + Pixel(1.15 * r, -0.8 * r), at + Pixel(0, 1.2 * r)}, colour);
  else
    polygon({at + Pixel(-1.2 * r, 0), at + Pixel(0, -1.2 * r), at + Pixel(1.2 * r, 0), at + Pixel(0, 1.2 * r)}, colour);
}

Pixel Canvas::text_size(const std::string &words, const TextStyle &style) const
{
  vtkNew<vtkTextProperty> property;
  set_font(*property, style);
  int box[4] = {0, 0, 0, 0};
  vtkTextRenderer::GetInstance()->GetBoundingBox(property, words, box, 72);
  return Pixel(box[1] - box[0] + 1, box[3] - box[2] + 1) / fine;
}

void Canvas::text(const Pixel &at, const std::string &words, const TextStyle &style)
{
  if (style.halo)
  {
    const Pixel size = text_size(words, style), pad(3, 2);
    const double x = style.x == AlignX::left ? 0 : style.x == AlignX::centre ? -size.x() / 2 : -size.x();
    const double y = style.y == AlignY::bottom ? 0 : style.y == AlignY::centre ? -size.y() / 2 : -size.y();
    const Pixel low = at + Pixel(x, y) - pad, high = low + size + 2 * pad;
    polygon(rectangle(low, high), {{1, 1, 1}}, 0.85);
  }
  auto actor = vtkSmartPointer<vtkTextActor>::New();
  actor->SetInput(words.c_str());
  auto &property = *actor->GetTextProperty();
  set_font(property, style);
  property.SetJustification(style.x == AlignX::left     ? VTK_TEXT_LEFT
                            : style.x == AlignX::centre ? VTK_TEXT_CENTERED
                                                        : VTK_TEXT_RIGHT);
  property.SetVerticalJustification(style.y == AlignY::bottom   ? VTK_TEXT_BOTTOM
                                    : style.y == AlignY::centre ? VTK_TEXT_CENTERED
                                                                : VTK_TEXT_TOP);
  if (style.upright)
    property.SetOrientation(90);
  actor->SetPosition(at.x() * fine, at.y() * fine);
  impl_->words.push_back(actor);
}

vtkRenderer &Canvas::view(const Pixel &low, const Pixel &high)
{
  vtkNew<vtkRenderer> renderer;
  renderer->SetLayer(1);
  renderer->SetViewport(low.x() / impl_->width, low.y() / impl_->height, high.x() / impl_->width, high.y() / impl_->height);
  renderer->GetActiveCamera()->ParallelProjectionOn();
  impl_->window->AddRenderer(renderer);
  return *renderer; // the window keeps it alive
}

void Canvas::save(const std::string &path)
{
  impl_->add_shapes();
  impl_->window->Render();
  vtkNew<vtkWindowToImageFilter> grab;
  grab->SetInput(impl_->window);
  grab->ReadFrontBufferOff();
  grab->Update();
  const std::string part = path + ".part";
  vtkNew<vtkPNGWriter> writer;
  writer->SetFileName(part.c_str());
  writer->SetInputData(shrink(*grab->GetOutput(), impl_->width, impl_->height));
  writer->Write();
  if (writer->GetErrorCode() != 0 || std::rename(part.c_str(), path.c_str()) != 0)
    throw Error("cannot write " + path);
}

Pixels rectangle(const Pixel &low, const Pixel &high)
{
  return {low, {high.x(), low.y()}, high, {low.x(), high.y()}};
}

Pixels arc(const Pixel &centre, double radius, double from_rad, double to_rad)
{
  const int n = 48;
  Pixels points;
  for (int i = 0; i <= n; ++i)
  {
    const double angle = from_rad + (to_rad - from_rad) * i / n;
    points.push_back(centre + radius * Pixel(std::cos(angle), std::sin(angle)));
  }
  return points;
}
} // namespace stifle::viz
