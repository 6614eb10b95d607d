// tests/viz/picture_looks.h - what a test may ask of a PNG: size, number of colours, how much of it is drawn
#pragma once
#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string>
#include <vtkImageData.h>
#include <vtkNew.h>
#include <vtkPNGReader.h>

struct Looks
{
  int width = 0, height = 0;
  std::size_t colours = 0;
  double white = 0, tinted = 0; ///< parts of all pixels: pure white; neither white, grey nor black
};

/// Calls use(p) with the bytes red, green, blue of every pixel; width and height.
template <class Use> std::array<int, 2> each_pixel(const std::string &path, const Use &use)
{
  vtkNew<vtkPNGReader> reader;
  reader->SetFileName(path.c_str());
  reader->Update();
  vtkImageData &image = *reader->GetOutput();
  const int *size = image.GetDimensions();
  for (int y = 0; y < size[1]; ++y)
    for (int x = 0; x < size[0]; ++x)
      use(static_cast<const unsigned char *>(image.GetScalarPointer(x, y, 0)));
  return {size[0], size[1]};
}

inline Looks looks(const std::string &path)
{
  std::set<unsigned> colours;
  Looks found;
  const auto look = [&](const unsigned char *p)
  {
    const unsigned value = unsigned(p[0]) << 16 | unsigned(p[1]) << 8 | p[2];
    colours.insert(value);
    found.white += value == 0xffffff;
    found.tinted += std::max({p[0], p[1], p[2]}) - std::min({p[0], p[1], p[2]}) > 20;
  };
  const auto [width, height] = each_pixel(path, look);
  found.width = width, found.height = height;
  found.colours = colours.size();
  found.white /= double(width) * height;
  found.tinted /= double(width) * height;
  return found;
}

/// Pixels of exactly this colour.
inline long pixels_of(const std::string &path, const std::array<double, 3> &colour)
{
  long found = 0;
  each_pixel(path,
             [&](const unsigned char *p)
             {
               bool same = true;
               for (int c = 0; c < 3; ++c)
                 same = same && p[c] == std::lround(255 * colour[c]);
               found += same;
             });
  return found;
}
