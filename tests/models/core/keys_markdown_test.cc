// The manual of all keys as Markdown.
#include "models/core/error.h"
#include "models/core/keys_markdown.h"
#include "models/core/parameter_list.h"
#include <gtest/gtest.h>
#include <sstream>

using namespace stifle;

TEST(KeysMarkdown, HasARowOfSevenCellsForEveryKey)
{
  Scenario           scenario;
  const std::string  text = keys_markdown();
  std::istringstream lines(text);
  std::size_t        rows = 0;
  for (std::string line; std::getline(lines, line);)
    if (line.rfind("| `", 0) == 0)
    {
      ++rows;
      std::size_t bars = 0;
      for (std::size_t i = 0; i < line.size(); ++i)
        bars += line[i] == '|' && (i == 0 || line[i - 1] != '\\'); // an escaped pipe ends no cell
      EXPECT_EQ(bars, 8u) << line;
    }
  EXPECT_EQ(rows, declared_keys(scenario).size());
  for (const DeclaredKey &key : declared_keys(scenario))
    EXPECT_NE(text.find("| `" + key.path() + "` | "), std::string::npos) << key.path();
}

TEST(KeysMarkdown, GivesRangeUnitLabelAndSource)
{
  EXPECT_NE(keys_markdown("dog.mass_kg").find("| `dog.mass_kg` | `30` | 2 to 100 | kg | "), std::string::npos) << keys_markdown("dog.mass_kg");
  EXPECT_NE(keys_markdown("tibia").find("| abstract | 25 +- 3 deg, healthy Labradors"), std::string::npos) << keys_markdown("tibia");
  EXPECT_EQ(keys_markdown("tibia").find("dog.mass_kg` |"), std::string::npos);
  EXPECT_THROW(keys_markdown("tibia.lenght_mm"), InputError);
}
