#include "scenarios/app/claims.h"
#include "models/core/content_hash.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include <cctype>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <ctime>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <sstream>
#include <sys/stat.h>
#include <unistd.h>

namespace stifle::app
{
namespace
{
namespace fs = std::filesystem;
constexpr const char *given_back = "free\n";

/// Clock tick at which a process began: with its id it is never another one. Empty: no such process.
std::string start_of_process(long pid)
{
  const std::string text = content(fmt::format("/proc/{}/stat", pid));
  const std::size_t name_end = text.rfind(')');
  if (name_end == std::string::npos)
    return "";
  std::istringstream rest(text.substr(name_end + 1));
  std::string        word, state;
  rest >> state;
  if (state == "Z" || state == "X") // killed, not yet buried
    return "";
  for (int field = 4; field <= 22; ++field)
    rest >> word;
  return word;
}

/// Boot and space of process ids: only in the same one does a process id say anything.
std::string this_machine()
{
  std::error_code   error;
  const std::string space = fs::read_symlink("/proc/self/ns/pid", error).string();
  std::string       boot  = content("/proc/sys/kernel/random/boot_id");
  boot.erase(boot.find_last_not_of('\n') + 1);
  return boot + "/" + space;
}

using Holder = ClaimHolder;

std::string text_of(const Holder &holder)
{
  return fmt::format("host {}\nmachine {}\npid {}\nbegan {}\nsince {}\n", holder.host, holder.machine, holder.pid, holder.start, std::time(nullptr));
}

Holder read_holder(const std::string &text)
{
  Holder             holder;
  std::istringstream lines(text);
  for (std::string key, value; lines >> key >> value;)
  {
    if (key == "host")
      holder.host = value;
    else if (key == "machine")
      holder.machine = value;
    else if (key == "pid")
      holder.pid = std::atol(value.c_str());
    else if (key == "began")
      holder.start = value;
  }
  return holder;
}

/// -1 when there is no such file.
double touched_s(const std::string &file)
{
  struct stat status;
  return ::stat(file.c_str(), &status) == 0 ? double(status.st_mtim.tv_sec) + 1e-9 * double(status.st_mtim.tv_nsec) : -1;
}

/// False when the file is there already.
bool made_new(const std::string &file, const std::string &text)
{
  int made = ::open(file.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0644);
  if (made < 0 && errno == ENOENT) // whoever saw all cases finished has removed the folder
  {
    fs::create_directories(fs::path(file).parent_path());
    made = ::open(file.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0644);
  }
  if (made < 0 && errno == EEXIST)
    return false;
  if (made < 0)
    throw Error("cannot write " + file + ": " + std::strerror(errno));
  const bool whole = ::write(made, text.data(), text.size()) == ssize_t(text.size());
  ::close(made);
  if (!whole)
    throw Error("cannot write " + file + ": the disk may be full");
  return true;
}
} // namespace

std::string host_name()
{
  char name[256] = {};
  ::gethostname(name, sizeof name - 1);
  std::string safe = name;
  for (char &c : safe)
    c = std::isalnum(static_cast<unsigned char>(c)) || c == '-' || c == '.' ? c : '_';
  return safe.empty() ? "unknown" : safe;
}

ClaimBoard::ClaimBoard(const std::string &folder, const ClaimTimes &times)
  : folder_(folder), times_(times), me_{host_name(), this_machine(), start_of_process(::getpid()), ::getpid()}
{
  toucher_ = std::thread([this] { touch_held(); });
}

ClaimBoard::~ClaimBoard()
{
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    end_ = true;
  }
  wake_.notify_all();
  toucher_.join();
}

void ClaimBoard::touch_held()
{
  std::unique_lock<std::mutex> lock(mutex_);
  while (!end_)
  {
    wake_.wait_for(lock, std::chrono::duration<double>(times_.touched_every_s));
    for (const auto &[name, generation] : held_)
      ::utimensat(AT_FDCWD, path(name, generation).c_str(), nullptr, 0);
  }
}

std::string ClaimBoard::path(const std::string &name, int generation) const { return fmt::format("{}/{}.{}", folder_, name, generation); }

int ClaimBoard::generations(const std::string &name) const
{
  int number = 0;
  while (::access(path(name, number).c_str(), F_OK) == 0)
    ++number;
  return number;
}

double ClaimBoard::now_of_file_system() const
{
  const std::string clock = fmt::format("{}/.clock.{}.{}", folder_, me_.host, me_.pid);
  const int         file  = ::open(clock.c_str(), O_CREAT | O_WRONLY | O_CLOEXEC, 0644);
  if (file >= 0)
    ::close(file);
  ::utimensat(AT_FDCWD, clock.c_str(), nullptr, 0);
  return touched_s(clock);
}

std::string ClaimBoard::why_stale(const std::string &file) const
{
  const std::string text = content(file);
  if (text == given_back)
    return "given back";
  const Holder holder = read_holder(text);
  if (holder.pid > 0 && holder.machine == me_.machine && start_of_process(holder.pid) != holder.start)
    return fmt::format("process {} on {} is gone", holder.pid, holder.host);
  const double touched = touched_s(file), now = now_of_file_system();
  if (touched < 0 || now < 0 || now - touched <= times_.stale_after_s) // unknown: leave it alone
    return "";
  return fmt::format("process {} on {} has not been heard of for {:.0f} s", holder.pid, holder.host.empty() ? "?" : holder.host, now - touched);
}

bool ClaimBoard::take(const std::string &name)
{
  const int   next = generations(name);
  std::string why;
  if (next > 0 && (why = why_stale(path(name, next - 1))).empty())
    return false;
  if (!made_new(path(name, next), text_of(me_)))
    return false;
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    held_[name] = next;
  }
  if (next > 0)
    log("claims", fmt::format("{} taken over: {}", name, why));
  return true;
}

bool ClaimBoard::mine(const std::string &name) const
{
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found = held_.find(name);
  return found != held_.end() && ::access(path(name, found->second + 1).c_str(), F_OK) != 0;
}

int ClaimBoard::deaths(const std::string &name) const
{
  int number = 0;
  for (int g = 0; g + 1 < generations(name); ++g)
    number += content(path(name, g)) != given_back;
  return number;
}

void ClaimBoard::finish(const std::string &name)
{
  const std::lock_guard<std::mutex> lock(mutex_);
  held_.erase(name);
}

void ClaimBoard::give_back(const std::string &name)
{
  const int generation = generations(name) - 1;
  if (mine(name))
  {
    const int file = ::open(path(name, generation).c_str(), O_WRONLY | O_TRUNC | O_CLOEXEC);
    if (file >= 0)
    {
      [[maybe_unused]] const ssize_t written = ::write(file, given_back, std::strlen(given_back)); // if it fails the claim goes stale
      ::close(file);
    }
  }
  finish(name);
}

bool ClaimBoard::anyone_at_work() const
{
  std::error_code error;
  for (const auto &entry : fs::directory_iterator(folder_, error))
  {
    const std::string file = entry.path().filename().string();
    const std::size_t dot  = file.rfind('.');
    if (file[0] == '.' || dot == std::string::npos || file.find_first_not_of("0123456789", dot + 1) != std::string::npos)
      continue;
    const std::string name = file.substr(0, dot);
    if (std::stoi(file.substr(dot + 1)) == generations(name) - 1 && why_stale(entry.path().string()).empty())
      return true;
  }
  return false;
}
} // namespace stifle::app
