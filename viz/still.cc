#include "viz/still.h"
#include "models/core/error.h"
#include "viz/vtk_threads.h"
#include <algorithm>
#include <filesystem>
#include <vtkImageData.h>
#include <vtkImageExtractComponents.h>
#include <vtkImageResize.h>
#include <vtkJPEGWriter.h>
#include <vtkNew.h>
#include <vtkPNGReader.h>
#include <vtkUnsignedCharArray.h>

namespace stifle::viz
{
std::string small_jpeg(const std::string &png, int width)
{
  keep_vtk_on_one_thread();
  vtkNew<vtkPNGReader> reader;
  if (!std::filesystem::is_regular_file(png) || !reader->CanReadFile(png.c_str()))
    throw Error("cannot read " + png + ": not a PNG picture");
  reader->SetFileName(png.c_str());
  reader->Update();
  int size[3];
  reader->GetOutput()->GetDimensions(size);
  if (size[0] < 1 || size[1] < 1 || reader->GetOutput()->GetScalarType() != VTK_UNSIGNED_CHAR ||
      reader->GetOutput()->GetNumberOfScalarComponents() < 3)
    throw Error("cannot read " + png + ": not a picture in colours of 8 bits");
  vtkNew<vtkImageExtractComponents> colours; // JPEG has no transparency
  colours->SetInputConnection(reader->GetOutputPort());
  colours->SetComponents(0, 1, 2);
  vtkNew<vtkImageResize> smaller;
  smaller->SetInputConnection(colours->GetOutputPort());
  const double factor = std::min(1.0, double(width) / size[0]);
  smaller->SetOutputDimensions(std::max(1, int(factor * size[0])), std::max(1, int(factor * size[1])), 1);
  vtkNew<vtkJPEGWriter> writer;
  writer->SetInputConnection(smaller->GetOutputPort());
  writer->SetQuality(82); // lettering of 18 pixels stays clean
  writer->WriteToMemoryOn();
  writer->Write();
  vtkUnsignedCharArray *bytes = writer->GetResult();
  if (!bytes || bytes->GetNumberOfTuples() == 0)
    throw Error("cannot pack " + png);
  return std::string(reinterpret_cast<const char *>(bytes->GetPointer(0)), std::size_t(bytes->GetNumberOfTuples()));
}
} // namespace stifle::viz
