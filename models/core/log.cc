#include "models/core/log.h"
#include "models/core/error.h"
#include <chrono>
#include <cstdio>
#include <fmt/format.h>
#include <mutex>

namespace stifle
{
namespace
{
using Clock = std::chrono::steady_clock;

struct Log
{
  std::mutex        mutex;
  Clock::time_point start = Clock::now();
  std::FILE        *file  = nullptr;
  std::function<void(const std::string &, const std::string &)> screen;
};

Log &the_log()
{
  static Log log;
  return log;
}
const Log &started_with_the_program = the_log(); // elapsed time counts from here, not from the first line
} // namespace

double elapsed_seconds()
{
  return std::chrono::duration<double>(Clock::now() - started_with_the_program.start).count();
}

void open_log(const std::string &folder, const std::string &name)
{
  Log              &log  = the_log();
  const std::string path = folder + "/" + name;
  std::FILE        *file = std::fopen(path.c_str(), "ae");
  if (file == nullptr)
    throw Error("cannot write " + path);
  const std::lock_guard<std::mutex> lock(log.mutex);
  if (log.file != nullptr)
    std::fclose(log.file);
  log.file = file;
}

void log(const std::string &stage, const std::string &text)
{
  const std::string safe = shown(text, 2000), line = fmt::format("[{:7.1f} s] {:<8} {}\n", elapsed_seconds(), stage, safe);
  Log              &log  = the_log();
  const std::lock_guard<std::mutex> lock(log.mutex);
  if (log.screen)
    log.screen(stage, safe);
  else
  {
    std::fputs(line.c_str(), stdout);
    std::fflush(stdout);
  }
  if (log.file != nullptr)
  {
    std::fputs(line.c_str(), log.file);
    std::fflush(log.file); // a killed run keeps its last line
  }
}

void set_log_screen(std::function<void(const std::string &stage, const std::string &text)> screen)
{
  const std::lock_guard<std::mutex> lock(the_log().mutex);
  the_log().screen = std::move(screen);
}
} // namespace stifle
