// Requirements of the list of field files: ParaView's time is the week, slopes and states are blocks with names (read by VTK itself).
#include "viz/field_list.h"
#include "tests/support/tension_bar.h"
#include "viz/vtu.h"
#include <filesystem>
#include <gtest/gtest.h>
#include <vtkCompositeDataSet.h>
#include <vtkInformation.h>
#include <vtkMultiBlockDataSet.h>
#include <vtkNew.h>
#include <vtkUnstructuredGrid.h>
#include <vtkXMLDataElement.h>
#include <vtkXMLDataParser.h>
#include <vtkXMLMultiBlockDataReader.h>

using namespace stifle;
using namespace stifle::viz;
namespace fs = std::filesystem;

namespace
{
std::string fresh_folder(const std::string &name)
{
  const std::string folder = (fs::temp_directory_path() / ("stifle_list_" + name)).string();
  fs::remove_all(folder);
  fs::create_directories(folder + "/fields");
  return folder;
}

std::string place(const std::string &name) { return (fs::temp_directory_path() / ("stifle_list_" + name)).string(); }

std::string block_name(vtkMultiBlockDataSet &blocks, unsigned number)
{
  return blocks.GetMetaData(number)->Get(vtkCompositeDataSet::NAME());
}

/// Two slopes; the bone without a cut has one file for both weeks, the levelled one a file a week.
std::string two_weeks(const std::string &name)
{
  const std::string folder = fresh_folder(name);
  for (const char *file : {"fields/bone.vtu", "fields/cut_0.vtu", "fields/cut_4.vtu"})
    write_vtu(folder + "/" + file, tension_bar());
  write_field_list(folder, {{"fields/bone.vtu", 0, "unoperated", "trot, 50 %"},
                            {"fields/bone.vtu", 4, "unoperated", "trot, 50 %"},
                            {"fields/cut_0.vtu", 0, "levelled to 6 deg", "trot, 50 %"},
                            {"fields/cut_4.vtu", 4, "levelled to 6 deg", "trot, 50 %"},
                            {"fields/cut_4.vtu", 4, "levelled to 6 deg", "stand \"<&>\", 50 %"}});
  return folder;
}
} // namespace

// Requirement: one entry a week, its time the week, and the file it names is there.
TEST(FieldList, TimeIsTheWeek)
{
  const std::string folder = two_weeks("time");
  vtkNew<vtkXMLDataParser> parser;
  parser->SetFileName((folder + "/fields.pvd").c_str());
  ASSERT_EQ(parser->Parse(), 1);
  vtkXMLDataElement *list = parser->GetRootElement()->FindNestedElementWithName("Collection");
  ASSERT_EQ(list->GetNumberOfNestedElements(), 2);
  EXPECT_STREQ(list->GetNestedElement(0)->GetAttribute("timestep"), "0");
  EXPECT_STREQ(list->GetNestedElement(1)->GetAttribute("timestep"), "4");
  EXPECT_STREQ(list->GetNestedElement(1)->GetAttribute("name"), "week 4");
  for (int i = 0; i < 2; ++i)
    EXPECT_TRUE(fs::exists(folder + "/" + list->GetNestedElement(i)->GetAttribute("file")));
}

// Requirement: VTK's reader finds slopes and states by name, also names with XML signs, and the data of the field file below them.
TEST(FieldList, BlocksAreNamed)
{
  const std::string folder = two_weeks("names");
  vtkNew<vtkXMLMultiBlockDataReader> reader;
  reader->SetFileName((folder + "/fields/week_04.00.vtm").c_str());
  reader->Update();
  auto *slopes = vtkMultiBlockDataSet::SafeDownCast(reader->GetOutput());
  ASSERT_NE(slopes, nullptr);
  ASSERT_EQ(slopes->GetNumberOfBlocks(), 2u);
  EXPECT_EQ(block_name(*slopes, 0), "unoperated");
  EXPECT_EQ(block_name(*slopes, 1), "levelled to 6 deg");
  auto *states = vtkMultiBlockDataSet::SafeDownCast(slopes->GetBlock(1));
  ASSERT_NE(states, nullptr);
  ASSERT_EQ(states->GetNumberOfBlocks(), 2u);
  EXPECT_EQ(block_name(*states, 0), "trot, 50 %");
  EXPECT_EQ(block_name(*states, 1), "stand \"<&>\", 50 %");
  auto *grid = vtkUnstructuredGrid::SafeDownCast(states->GetBlock(1));
  ASSERT_NE(grid, nullptr);
  EXPECT_EQ(std::size_t(grid->GetNumberOfCells()), tension_bar().cells.size());
}

TEST(FieldList, NoFieldsLeaveNoList)
{
  const std::string folder = fresh_folder("none");
  write_field_list(folder, {});
  EXPECT_FALSE(fs::exists(folder + "/fields.pvd"));
}

// Requirement: the PVD is well-formed XML that lists every file with its number, also when names hold XML signs.
TEST(Pvd, IsWellFormed)
{
  write_pvd(place("fields.pvd"), {{"fields/a.vtu", 0, "15 deg, week 0", "plate & screws"}, {"fields/b.vtu", 1.5, "<6 deg>", ""}});
  vtkNew<vtkXMLDataParser> parser;
  parser->SetFileName(place("fields.pvd").c_str());
  ASSERT_EQ(parser->Parse(), 1);
  vtkXMLDataElement *root = parser->GetRootElement();
  EXPECT_STREQ(root->GetAttribute("type"), "Collection");
  vtkXMLDataElement *list = root->FindNestedElementWithName("Collection");
  ASSERT_EQ(list->GetNumberOfNestedElements(), 2);
  EXPECT_STREQ(list->GetNestedElement(0)->GetAttribute("file"), "fields/a.vtu");
  EXPECT_STREQ(list->GetNestedElement(0)->GetAttribute("group"), "plate & screws");
  EXPECT_STREQ(list->GetNestedElement(1)->GetAttribute("timestep"), "1.5");
  EXPECT_STREQ(list->GetNestedElement(1)->GetAttribute("name"), "<6 deg>");
}
