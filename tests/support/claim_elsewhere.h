// tests/support/claim_elsewhere.h - a claim as a process of another machine left it
#pragma once
#include <ctime>
#include <fcntl.h>
#include <fstream>
#include <gtest/gtest.h>
#include <string>
#include <sys/stat.h>

/// Last touched `seconds` ago.
inline void claim_elsewhere(const std::string &file, double seconds)
{
  std::ofstream(file) << "host far\nmachine another/boot\npid 1\nbegan 1\nsince 1\n";
  const std::time_t at = std::time(nullptr) - std::time_t(seconds);
  const timespec    times[2] = {{at, 0}, {at, 0}};
  ASSERT_EQ(utimensat(AT_FDCWD, file.c_str(), times, 0), 0);
}
