// Files that tests make: one folder a program, gone when all its tests passed. Otherwise other users' files of the same names stand in
// the way, tests in two folders write each other's, and every run leaves some 100 MB.
#include <cstdlib>
#include <filesystem>
#include <gtest/gtest.h>
#include <unistd.h>

namespace
{
class FolderOfTheProgram : public testing::Environment
{
public:
  void SetUp() override // not when tests are only listed
  {
    folder_ = std::filesystem::temp_directory_path() / ("stifle_tests_" + std::to_string(getpid()));
    std::filesystem::create_directories(folder_);
    setenv("TMPDIR", folder_.c_str(), 1); // before any test asks temp_directory_path(); for programs it starts, too
  }

  void TearDown() override
  {
    std::error_code error;
    if (testing::UnitTest::GetInstance()->Passed())
      std::filesystem::remove_all(folder_, error);
  }

private:
  std::filesystem::path folder_;
};

[[maybe_unused]] const testing::Environment *const folder = testing::AddGlobalTestEnvironment(new FolderOfTheProgram);
} // namespace
