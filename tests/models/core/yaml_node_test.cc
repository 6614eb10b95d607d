#include "models/core/yaml_node.h"
#include "models/core/read_yaml_tree.h"
#include "tests/models/core/temporary.h"
#include <gtest/gtest.h>

using namespace stifle;

namespace
{
/// A reader of `text` that lives as long as its file.
struct Reading
{
  explicit Reading(const std::string &text) : reader(folder.write("file.yaml", text)) {}
  TemporaryFolder folder;
  YamlReader      reader;
};
} // namespace

TEST(YamlTree, KeepsLineAndColumnOfKeysAndValues)
{
  // Counted by hand, from 1.
  const YamlNode  root = parse_yaml_tree("t", "# comment\na: 1\nb:\n  - x\n  - {c: [7, 8]}\n");
  const YamlNode &c    = *root.find("b")->items[1].find("c");
  EXPECT_EQ(root.keys[1].line, 3);
  EXPECT_EQ(root.keys[1].column, 1);
  EXPECT_EQ(root.find("a")->column, 4);
  EXPECT_EQ(root.find("b")->items[0].line, 4);
  EXPECT_EQ(root.find("b")->items[0].column, 5);
  EXPECT_EQ(c.column, 9);
  EXPECT_EQ(c.items[1].column, 13);
}

TEST(YamlTree, KeepsRepeatedKeys)
{
  const YamlNode root = parse_yaml_tree("t", "a: 1\na: 2\n");
  ASSERT_EQ(root.keys.size(), 2u);
  EXPECT_EQ(root.items[1].text, "2");
}

TEST(YamlNumbers, ArePlainDecimals)
{
  const std::vector<std::pair<std::string, double>> numbers = {{"7", 7},     {"-2.5", -2.5},   {"+3", 3}, {"1e3", 1000},
                                                               {".5", 0.5},  {"5.", 5},        {"0", 0},  {"-0.0", 0},
                                                               {"0.1", 0.1}, {"2.5E-2", 0.025}};
  for (const auto &[text, value] : numbers)
  {
    Reading reading("a: " + text + "\n");
    const auto number = reading.reader.number(*reading.reader.root().find("a"), "a", Range{-1e4, 1e4, ""});
    ASSERT_TRUE(number) << text;
    EXPECT_EQ(*number, value) << text;
  }
  for (const std::string text :
       {".nan", "nan", ".inf", "-inf", "010", "0x1F", "0o7", "1_000", "1,5", "1.2.3", "e5", "true", "'7'", "1e", "--1", "~"})
  {
    Reading reading("a: " + text + "\n");
    EXPECT_FALSE(reading.reader.number(*reading.reader.root().find("a"), "a", Range{-1e4, 1e4, ""})) << text;
    EXPECT_EQ(reading.reader.problems().size(), 1u) << text;
  }
}

TEST(YamlNumbers, RangeIncludesItsEnds)
{
  Reading reading("[2, 5, 1.9999, 5.0001]\n");
  const auto &items = reading.reader.root().items;
  EXPECT_TRUE(reading.reader.number(items[0], "a", Range{2, 5, "mm"}));
  EXPECT_TRUE(reading.reader.number(items[1], "a", Range{2, 5, "mm"}));
  EXPECT_FALSE(reading.reader.number(items[2], "a", Range{2, 5, "mm"}));
  EXPECT_FALSE(reading.reader.number(items[3], "a", Range{2, 5, "mm"}));
}

TEST(YamlReader, CollectsEveryProblemBeforeItThrows)
{
  Reading     reading("a: 1\nb: x\nb: 2\nd: 3\n");
  YamlReader &reader = reading.reader;
  reader.check_mapping(reader.root(), "", {"a", "b", "c"}, {"c"}); // b repeated, d unknown, c missing
  reader.number(*reader.root().find("b"), "b", Range{0, 1, ""});   // x
  EXPECT_EQ(reader.problems().size(), 4u);
  EXPECT_THROW(reader.finish(), InputError);
}

TEST(YamlReader, WindowsLineEndsAndByteOrderMarkAreRead)
{
  const YamlNode root = parse_yaml_tree("t", "\xef\xbb\xbf"
                                             "a: 1\r\nb: 2\r\n");
  EXPECT_EQ(root.find("a")->text, "1");
  EXPECT_EQ(root.find("b")->text, "2");
}
