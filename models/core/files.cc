#include "models/core/files.h"
#include "models/core/error.h"
#include <atomic>
#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <fstream>
#include <sstream>
#include <unistd.h>

namespace stifle
{
namespace
{
namespace fs = std::filesystem;

[[noreturn]] void unreadable(const std::string &path, const std::string &message, const std::string &allowed)
{
  throw InputError({InputProblem{path, 0, 0, message, "", allowed, "", ""}});
}

void write_all(int file, const std::string &path, const std::string &content)
{
  for (std::size_t done = 0; done < content.size();)
  {
    const ssize_t n = ::write(file, content.data() + done, content.size() - done);
    if (n < 0 && errno != EINTR)
      throw Error("cannot write " + path + ": " + std::strerror(errno));
    done += n > 0 ? std::size_t(n) : 0;
  }
}
} // namespace

std::string data_file(const std::string &relative)
{
  const char *folder = std::getenv("STIFLE_DATA");
  return (fs::path(folder != nullptr && *folder != '\0' ? folder : STIFLE_SOURCE_DIR) / relative).string();
}

void write_file(const std::string &path, const std::string &content)
{
  static std::atomic<int> count{0};
  const std::string beside = fmt::format("{}.tmp.{}.{}", path, ::getpid(), count++);
  const int         file   = ::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (file < 0)
    throw Error("cannot write " + beside + ": " + std::strerror(errno));
  try
  {
    write_all(file, beside, content);
    // The rename must not reach the disk before the content does.
    if (::fsync(file) != 0 && errno != EINVAL && errno != ENOTSUP)
      throw Error("cannot write " + beside + ": " + std::strerror(errno));
  }
  catch (const Error &)
  {
    ::close(file);
    ::unlink(beside.c_str());
    throw;
  }
  ::close(file);
  if (std::rename(beside.c_str(), path.c_str()) != 0)
  {
    const std::string reason = std::strerror(errno);
    ::unlink(beside.c_str());
    throw Error("cannot write " + path + ": " + reason);
  }
}

std::string read_file(const std::string &path)
{
  std::error_code       error;
  const fs::file_status status = fs::status(path, error);
  if (path.empty() || !fs::exists(status))
    unreadable(path, "the file does not exist", "a file that can be read");
  if (fs::is_directory(status))
    unreadable(path, "this is a directory, not a file", "a file that can be read");
  if (!fs::is_regular_file(status))
    unreadable(path, "this is not a regular file", "a file that can be read");
  std::ifstream      stream(path, std::ios::binary);
  std::ostringstream content;
  content << stream.rdbuf();
  if (!stream.is_open() || stream.bad())
    unreadable(path, "the file cannot be read", "a file that can be read");
  return content.str();
}
} // namespace stifle
