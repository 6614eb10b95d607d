// `stifle validate` in one test: every row names a source, every row of level V passes, every promised case is there.
#include "scenarios/checks/check.h"
#include <gtest/gtest.h>
#include <set>

using namespace stifle::checks;

namespace
{
const std::vector<CheckRow> &all_rows()
{
  static const std::vector<CheckRow> rows = [] {
    std::vector<CheckRow> all;
    for (const CheckCase &check : all_checks())
      for (const CheckRow &row : run_check(check))
        all.push_back(row);
    return all;
  }();
  return rows;
}
} // namespace

// Design, section Truth: level V must pass. The sources are printed beside the numbers.
TEST(AllChecks, PassAtLevelV)
{
  for (const CheckRow &row : all_rows())
    if (row.level == 'V')
    {
      EXPECT_TRUE(row.passed()) << row.id << " " << row.quantity << ": " << row.value << " " << row.unit << ", expected " << row.expected
                                << " +- " << row.tolerance << " (" << row.source << ")";
    }
}

TEST(AllChecks, NameASourceAndALevelInEveryRow)
{
  for (const CheckRow &row : all_rows())
  {
    EXPECT_FALSE(row.source.empty()) << row.id << " " << row.quantity;
    EXPECT_FALSE(row.quantity.empty()) << row.id;
    EXPECT_TRUE(row.level == 'V' || row.level == 'E') << row.id << " " << row.quantity;
    EXPECT_GE(row.tolerance, 0) << row.id << " " << row.quantity;
  }
}

// Issue 4 promises these cases.
TEST(AllChecks, CoverThePromisedCases)
{
  std::set<std::string> ids;
  for (const CheckRow &row : all_rows())
    ids.insert(row.id);
  for (const char *id : {"C1", "C2", "C4", "C6", "C7", "C8", "C13", "C18", "J1", "J2", "J3", "J4", "J5", "J7", "J8", "J9", "J13"})
    EXPECT_TRUE(ids.count(id)) << id;
}

// An exception inside a case becomes a failing row, it does not end the run.
TEST(AllChecks, TurnAnErrorIntoAFailingRow)
{
  const auto rows = run_check({"X1", []() -> std::vector<CheckRow> { throw std::runtime_error("cannot"); }});
  ASSERT_EQ(rows.size(), 1u);
  EXPECT_FALSE(rows[0].passed());
  EXPECT_EQ(rows[0].level, 'V');
  EXPECT_EQ(rows[0].source, "cannot");
}
