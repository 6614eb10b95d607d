// viz/canvas.h - one picture: flat drawing in pixels and 3-D views on a white sheet, saved as PNG
//   pixels   origin bottom left, y up, of the saved picture; drawn at twice the size and averaged (smooth edges without
//            multisampling, which software GL does slowly or not at all)
//   order    later shapes cover earlier ones; all words lie above all shapes
//   font     DejaVu Sans from its file (VTK's own font lacks signs); without the file VTK's own
//   needs    a VirtualScreen that is ready, alive longer than the canvas
#pragma once
#include "viz/colour.h"
#include <Eigen/Dense>
#include <memory>
#include <string>
#include <vector>

class vtkRenderer;

namespace stifle::viz
{
using Pixel = Eigen::Vector2d;
using Pixels = std::vector<Pixel>;

enum class Dash
{
  solid,
  dashed,
  dotted,
  dash_dot
};
enum class Marker
{
  circle,
  square,
  triangle,
  diamond
};
enum class AlignX
{
  left,
  centre,
  right
};
enum class AlignY
{
  bottom,
  centre,
  top
};

struct TextStyle
{
  double size = 20; ///< pixels
  Colour colour = ink;
  AlignX x = AlignX::left;
  AlignY y = AlignY::bottom;
  bool bold = false, upright = false; ///< upright: turned by 90 degrees, reads upwards
  bool halo = false;                  ///< white box behind, so that lines do not cross the letters
};

class Canvas
{
public:
  Canvas(int width, int height);
  ~Canvas();
  double width() const, height() const;

  void polygon(const Pixels &corners, const Colour &colour, double opacity = 1); ///< may be concave, must not cross itself
  void frame(const Pixel &low, const Pixel &high, const Colour &line, double width); ///< of a rectangle
  void line(const Pixels &points, const Colour &colour, double width, Dash dash = Dash::solid);
  void circle(const Pixel &centre, double radius, const Colour &line, double width);
  void disc(const Pixel &centre, double radius, const Colour &fill, double opacity = 1);
  void arrow(const Pixel &from, const Pixel &to, const Colour &colour, double width);
  void marker(const Pixel &at, Marker kind, double size, const Colour &colour);
  void text(const Pixel &at, const std::string &words, const TextStyle &style);
  Pixel text_size(const std::string &words, const TextStyle &style) const; ///< width and height before turning

  /// A 3-D view in the rectangle low..high; parallel projection; under all flat drawing.
  vtkRenderer &view(const Pixel &low, const Pixel &high);

  /// Draws and writes, once; beside the target and renamed. Throws Error when the file cannot be written.
  void save(const std::string &path);

private:
  struct Implementation;
  std::unique_ptr<Implementation> impl_;
};

/// Corners of an upright rectangle, counterclockwise from `low`.
Pixels rectangle(const Pixel &low, const Pixel &high);
/// Points of a circle or an arc from angle a to b, radians.
Pixels arc(const Pixel &centre, double radius, double from_rad, double to_rad);
} // namespace stifle::viz
