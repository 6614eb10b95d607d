#include "models/core/files.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include "tests/models/core/temporary.h"
#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <thread>

using namespace stifle;

TEST(WriteFile, ReplacesTheOldFileAndLeavesNothingBeside)
{
  const TemporaryFolder folder;
  const std::string     file = folder.write("a.txt", "old");
  write_file(file, "new");
  EXPECT_EQ(read_file(file), "new");
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
}

TEST(WriteFile, FailsWithErrorAndKeepsTheTarget)
{
  const TemporaryFolder folder;
  std::filesystem::create_directory(folder.path() + "/taken");
  EXPECT_THROW(write_file(folder.path() + "/taken", "x"), Error);
  EXPECT_THROW(write_file(folder.path() + "/no/such/folder.txt", "x"), Error);
  EXPECT_TRUE(std::filesystem::is_directory(folder.path() + "/taken"));
  EXPECT_EQ(std::distance(std::filesystem::directory_iterator(folder.path()), {}), 1);
}

TEST(WriteFile, ReadersSeeOneWholeVersion)
{
  const TemporaryFolder folder;
  const std::string     file = folder.path() + "/a.txt", first(100'000, 'a'), second(100'000, 'b');
  write_file(file, first);
  std::thread writer([&] {
    for (int i = 0; i < 40; ++i)
      write_file(file, i % 2 ? first : second);
  });
  for (int i = 0; i < 200; ++i)
  {
    const std::string seen = read_file(file);
    EXPECT_TRUE(seen == first || seen == second);
  }
  writer.join();
}

TEST(ReadFile, NamesWhatIsWrong)
{
  const TemporaryFolder folder;
  EXPECT_THROW(read_file(folder.path() + "/absent"), InputError);
  EXPECT_THROW(read_file(folder.path()), InputError);
  EXPECT_THROW(read_file(""), InputError);
  EXPECT_THROW(read_file("/dev/zero"), InputError);
}

TEST(DataFile, IsFoundInTheFolderOfTheEnvironment)
{
  setenv("STIFLE_DATA", "/somewhere", 1);
  EXPECT_EQ(data_file("models/x.yaml"), "/somewhere/models/x.yaml");
  unsetenv("STIFLE_DATA");
  EXPECT_EQ(data_file("models/x.yaml"), std::string(STIFLE_SOURCE_DIR) + "/models/x.yaml");
}

TEST(Table, NeverLetsANumberOutThatIsNotFinite)
{
  Table table({"a_n"});
  table.begin_row();
  EXPECT_THROW(table.add(std::nan("")), Error);
  EXPECT_THROW(table.add(std::numeric_limits<double>::infinity()), Error);
  EXPECT_THROW(table.add(-std::numeric_limits<double>::infinity()), Error);
}

TEST(Table, RefusesARowOfTheWrongLength)
{
  Table table({"a", "b"});
  table.begin_row();
  table.add(1.0);
  EXPECT_THROW(table.csv(), Error);
  EXPECT_THROW(Table({"a"}).add(1.0), Error);
}

TEST(Table, WritesNineDigitsEmptyCellsAndQuotes)
{
  Table table({"a", "b", "c"});
  table.begin_row();
  table.add(1.0 / 3.0);
  table.add_empty();
  table.add("x, \"y\"");
  table.begin_row();
  table.add(-0.0);
  table.add("");
  table.add(200.0);
  // RFC 4180 (memory): quotes are doubled inside a quoted cell.
  EXPECT_EQ(table.csv(), "a,b,c\n0.333333333,,\"x, \"\"y\"\"\"\n0,,200\n");
}

TEST(Table, IsReadBack)
{
  const TemporaryFolder folder;
  Table                 table({"a", "b"});
  table.begin_row();
  table.add("x, \"y\"\nz");
  table.add(2.5);
  const ReadTable read = read_table(folder.write("t.csv", table.csv()));
  EXPECT_EQ(read.columns, (std::vector<std::string>{"a", "b"}));
  ASSERT_EQ(read.rows.size(), 1u);
  EXPECT_EQ(read.rows[0][0], "x, \"y\"\nz");
  EXPECT_EQ(read.rows[0][read.column("b")], "2.5");
  EXPECT_THROW(read.column("c"), InputError);
}

TEST(Table, ATornFileIsRefused)
{
  const TemporaryFolder folder;
  EXPECT_THROW(read_table(folder.write("t.csv", "a,b\n1,2\n3")), InputError);
  EXPECT_THROW(read_table(folder.write("t.csv", "a,b\n1\n")), InputError);
  EXPECT_THROW(read_table(folder.write("t.csv", "a,b\n\"1,2\n")), InputError);
  EXPECT_THROW(read_table(folder.write("t.csv", "")), InputError);
}

TEST(Log, WritesOneSafeLineAnEvent)
{
  const TemporaryFolder folder;
  std::string shown_lines;
  set_log_screen([&](const std::string &stage, const std::string &text) { shown_lines += stage + "|" + text + "\n"; });
  open_log(folder.path());
  log("mesh", "one\ntwo \x1b[31m");
  log("solve", "three");
  const std::string text = read_file(folder.path() + "/log.txt");
  EXPECT_EQ(std::count(text.begin(), text.end(), '\n'), 2);
  EXPECT_NE(text.find(" s] mesh     one\\ntwo \\x1b[31m\n"), std::string::npos) << text;
  set_log_screen({});
  EXPECT_EQ(shown_lines, "mesh|one\\ntwo \\x1b[31m\nsolve|three\n"); // the screen gets the same safe text
}

TEST(Messages, ShowLongAndBrokenTextSafely)
{
  EXPECT_EQ(shown("plain \xc3\xa4"), "plain \xc3\xa4");
  EXPECT_EQ(shown("\x07\xff\x7f"), "\\x07\\xff\\x7f");
  EXPECT_EQ(shown("\xe2\x80\xae"), "\\xe2\\x80\\xae"); // would turn the line around
  EXPECT_EQ(shown(std::string(1000, 'x'), 10), "xxxxxxxxxx... (1000 bytes)");
}

TEST(Messages, HaveTheShapeOfASmallTable)
{
  // Source: style.md habit 3.
  const InputProblem problem{"a.yaml",    41,     7, "unknown key 'lenght_mm' in plate", "lenght_mm: 26", "length_mm, width_mm",
                             "length_mm", "plate"};
  EXPECT_EQ(format_problems({problem}), "a.yaml:41:7: unknown key 'lenght_mm' in plate\n"
                                        "  found    lenght_mm: 26\n"
                                        "  allowed  length_mm, width_mm\n"
                                        "  nearest  length_mm\n"
                                        "1 error in a.yaml; nothing was run. Manual: stifle keys plate");
  EXPECT_NE(format_problems({problem, problem}).find("2 errors in a.yaml"), std::string::npos);
}
