// Requirements of report.html: every text of a scenario is text, data come back as they were, only what is shown goes in.
#include "viz/report_page.h"
#include "models/core/error.h"
#include "models/core/files.h"
#include "tests/support/tension_bar.h"
#include "viz/still.h"
#include "viz/vtu.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <vtkBase64Utilities.h>
#include <vtkImageData.h>
#include <vtkJPEGReader.h>
#include <vtkNew.h>
#include <vtkPNGWriter.h>
#include <zlib.h>

using namespace stifle;
using namespace stifle::viz;
namespace fs = std::filesystem;

namespace
{
std::string fresh_folder(const std::string &name)
{
  const std::string folder = (fs::temp_directory_path() / ("stifle_page_" + name)).string();
  fs::remove_all(folder);
  fs::create_directories(folder + "/fields");
  fs::create_directories(folder + "/pictures");
  return folder;
}

/// base64, then gzip (zlib's own reading, which checks length and sum).
std::string opened(const std::string &base64)
{
  std::string packed(base64.size(), '\0');
  packed.resize(vtkBase64Utilities::DecodeSafely(reinterpret_cast<const unsigned char *>(base64.data()), base64.size(),
                                                 reinterpret_cast<unsigned char *>(packed.data()), packed.size()));
  z_stream stream{};
  EXPECT_EQ(inflateInit2(&stream, 15 + 16), Z_OK); // gzip only
  stream.next_in = reinterpret_cast<Bytef *>(packed.data());
  stream.avail_in = uInt(packed.size());
  std::string bytes(1 << 20, '\0');
  stream.next_out = reinterpret_cast<Bytef *>(bytes.data());
  stream.avail_out = uInt(bytes.size());
  EXPECT_EQ(inflate(&stream, Z_FINISH), Z_STREAM_END);
  bytes.resize(stream.total_out);
  inflateEnd(&stream);
  return bytes;
}

/// Content of a data block; the block must be there once.
std::string content(const std::string &html, const std::string &name)
{
  const std::string mark = "data-name=\"" + name + "\">";
  const std::size_t at = html.find(mark);
  EXPECT_NE(at, std::string::npos) << name;
  EXPECT_EQ(html.find(mark, at + 1), std::string::npos) << name;
  return at == std::string::npos ? "" : opened(html.substr(at + mark.size(), html.find('<', at) - at - mark.size()));
}

void write_png(const std::string &path, int width, int height)
{
  vtkNew<vtkImageData> image;
  image->SetDimensions(width, height, 1);
  image->AllocateScalars(VTK_UNSIGNED_CHAR, 4);
  auto *bytes = static_cast<unsigned char *>(image->GetScalarPointer());
  std::fill(bytes, bytes + 4 * width * height, static_cast<unsigned char>(200));
  vtkNew<vtkPNGWriter> writer;
  writer->SetFileName(path.c_str());
  writer->SetInputData(image);
  writer->Write();
}

const std::string hostile = "<script>alert(1)</script> \"it's\" & <!--{{FILES}}--><!--{{TITLE}}-->/*{{SCRIPT}}*/ \u05db\u05dc\u05d1 \u202eabc";

ReportPage hostile_page(const std::string &folder)
{
  ReportPage page;
  page.folder = folder;
  page.title = hostile;
  page.caution = hostile;
  page.facts = nlohmann::json{{"facts", {{"name", hostile}}}}.dump();
  return page;
}

std::size_t count(const std::string &text, const std::string &word)
{
  std::size_t n = 0;
  for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + word.size()))
    ++n;
  return n;
}
} // namespace

TEST(ReportPage, EscapesEverySignOfMarkup)
{
  EXPECT_EQ(escaped_html("<b class=\"x\">&'</b>"), "&lt;b class=&quot;x&quot;&gt;&amp;&#39;&lt;/b&gt;");
  EXPECT_EQ(escaped_html("\u05db\u05dc\u05d1"), "\u05db\u05dc\u05d1");
}

// Requirement: what was packed is opened again, also nothing, bytes of every value, and lengths that base64 has to fill up.
TEST(ReportPage, PackedDataComeBack)
{
  std::string bytes;
  EXPECT_EQ(opened(gzip_base64(bytes)), bytes);
  for (int i = 0; i < 1025; ++i)
  {
    bytes += char(i % 256);
    if (i < 5 || i > 1022)
    {
      EXPECT_EQ(opened(gzip_base64(bytes)), bytes) << i;
    }
  }
}

// Requirement: a hostile name stands in the page as text: it opens no element, no second script, and takes in no data.
TEST(ReportPage, ShowsAHostileNameAsText)
{
  const std::string folder = fresh_folder("hostile"), plain_folder = fresh_folder("plain");
  ReportPage plain = hostile_page(plain_folder);
  plain.title = plain.caution = "plain";
  write_report_page(plain);
  const std::size_t bytes = write_report_page(hostile_page(folder));
  EXPECT_EQ(bytes, fs::file_size(folder + "/report.html"));
  const std::string html = read_file(folder + "/report.html"), calm = read_file(plain_folder + "/report.html");
  for (const char *mark : {"<script", "</script", "<!--", "<title", "data-name="})
    EXPECT_EQ(count(html, mark), count(calm, mark)) << mark;
  EXPECT_NE(html.find("<title>" + escaped_html(hostile) + "</title>"), std::string::npos);
  EXPECT_EQ(nlohmann::json::parse(content(html, "facts.json"))["facts"]["name"], hostile);
}

// Requirement: states share what is the same: one surface and one field for two weeks that have one file.
TEST(ReportPage, SharedFilesStandOnce)
{
  const std::string folder = fresh_folder("shared");
  write_vtu(folder + "/fields/a.vtu", tension_bar());
  write_vtu(folder + "/fields/b.vtu", tension_bar());
  ReportPage page = hostile_page(folder);
  page.states = {{"fields/a.vtu", "week 0", 6, 0, 50, true, "trot"}, {"fields/a.vtu", "week 4", 6, 4, 50, true, "trot"},
                 {"fields/b.vtu", "stand", 6, 0, 50, true, hostile}, {"fields/missing.vtu", "gone", 6, 0, 50, true, "walk"}};
  write_report_page(page);
  const std::string html = read_file(folder + "/report.html");
  const auto index = nlohmann::json::parse(content(html, "fields.json"));
  ASSERT_EQ(index["states"].size(), 3u);
  EXPECT_EQ(index["surfaces"].size(), 1u); // the same mesh
  EXPECT_EQ(index["states"][0]["field"], index["states"][1]["field"]);
  EXPECT_NE(index["states"][0]["field"], index["states"][2]["field"]);
  EXPECT_EQ(index["states"][2]["activity"], hostile);
  EXPECT_EQ(content(html, "field/0").size(), index["surfaces"][0]["points"].get<std::size_t>() * 14);
}

// Requirement: of the pictures only those of the states go in, as JPEG of at most 1400 pixels.
TEST(ReportPage, TakesOnlyPicturesThatItShows)
{
  const std::string folder = fresh_folder("pictures");
  write_vtu(folder + "/fields/a.vtu", tension_bar());
  write_png(folder + "/pictures/a.png", 2000, 1000);
  write_png(folder + "/pictures/other.png", 20, 10);
  ReportPage page = hostile_page(folder);
  page.states = {{"fields/a.vtu", "a", 6, 0, 50, true, "trot"}};
  write_report_page(page);
  const std::string html = read_file(folder + "/report.html");
  EXPECT_EQ(count(html, "data-name=\"still/"), 1u);
  EXPECT_EQ(count(html, "other.png"), 0u);
  const std::string file = folder + "/still.jpg", jpeg = content(html, "still/0.jpg");
  write_file(file, jpeg);
  vtkNew<vtkJPEGReader> reader;
  ASSERT_TRUE(reader->CanReadFile(file.c_str()));
  reader->SetFileName(file.c_str());
  reader->Update();
  int size[3];
  reader->GetOutput()->GetDimensions(size);
  EXPECT_EQ(size[0], 1400);
  EXPECT_EQ(size[1], 700);
}

TEST(ReportPage, RefusesAPictureThatIsNone)
{
  const std::string file = fresh_folder("noise") + "/pictures/a.png";
  write_file(file, "no picture");
  EXPECT_THROW(small_jpeg(file, 100), Error);
  EXPECT_THROW(small_jpeg(file + ".missing", 100), Error);
}

// Requirement: the folder's own table of checks wins over the one that came with the program; both go in as they are.
TEST(ReportPage, TakesTheChecksOfTheFolderFirst)
{
  const std::string folder = fresh_folder("checks"), shipped = folder + "/shipped.csv";
  write_file(shipped, "# stifle 0.7, 26 November 2026\nid,verdict\nA1,holds\n");
  ReportPage page = hostile_page(folder);
  page.checks = shipped;
  write_report_page(page);
  EXPECT_EQ(content(read_file(folder + "/report.html"), "validate.csv"), read_file(shipped));
  write_file(folder + "/validate.csv", "id,verdict\nA2,holds\n");
  write_report_page(page);
  EXPECT_EQ(content(read_file(folder + "/report.html"), "validate.csv"), "id,verdict\nA2,holds\n");
}
