// Text for a terminal: columns, not bytes.
#include "models/core/text_width.h"
#include <gtest/gtest.h>
#include <sstream>

using namespace stifle;

TEST(TextWidth, CountsColumnsNotBytes)
{
  EXPECT_EQ(display_width("plain"), 5);
  EXPECT_EQ(display_width("Tür 25°"), 7);
  EXPECT_EQ(display_width("犬の膝"), 6);            // wide characters take two columns
  EXPECT_EQ(display_width("e\xcc\x81"), 1);         // a combining accent takes none
  EXPECT_EQ(display_width("\xff"), 1);              // broken UTF-8
}

TEST(TextWidth, CutsToColumnsWithoutBreakingACharacter)
{
  EXPECT_EQ(cut_to_width("short", 10), "short");
  EXPECT_EQ(cut_to_width("abcdefghijk", 8), "abcde...");
  const std::string cut = cut_to_width("犬の膝犬の膝", 8);
  EXPECT_EQ(cut, "犬の...");
  EXPECT_LE(display_width(cut), 8);
}

TEST(TextWidth, WrapsWideLinesAtSpacesAndLeavesTheOthers)
{
  const std::string table = "a    b    c\n", path = "/a/path/that/is/longer/than/the/line\n";
  EXPECT_EQ(wrap_text(table, 20), table); // columns of a table keep their spaces
  EXPECT_EQ(wrap_text("one two three four", 9, 2), "one two\n  three\n  four");
  EXPECT_EQ(wrap_text(path, 10), path);
  EXPECT_EQ(wrap_text("  one two three", 9, 2), "  one two\n    three"); // what goes on keeps the indent of its line
  std::istringstream lines(wrap_text(std::string(100, 'x') + " and " + "größer größer größer größer größer größer größer größer größer größer größer größer"));
  for (std::string line; std::getline(lines, line);)
    EXPECT_TRUE(display_width(line) <= 80 || line.find(' ') == std::string::npos) << line;
}
