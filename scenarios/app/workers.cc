#include "scenarios/app/workers.h"
#include "models/core/error.h"
#include "models/core/log.h"
#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdlib>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

extern char **environ;

namespace stifle::app
{
namespace
{
constexpr const char *mark = "STIFLE_WORKER=1";

/// Only calls that are allowed between fork and exec in a program with threads.
[[noreturn]] void become(pid_t parent, char *const *words, char *const *environment)
{
  ::prctl(PR_SET_PDEATHSIG, SIGTERM);
  if (::getppid() != parent)
    ::_exit(130);
  const int nothing = ::open("/dev/null", O_RDWR);
  for (const int standard : {0, 1, 2})
    ::dup2(nothing, standard);
  ::execve("/proc/self/exe", words, environment);
  ::_exit(127);
}

std::vector<char *> pointers(std::vector<std::string> &texts)
{
  std::vector<char *> list;
  for (std::string &text : texts)
    list.push_back(text.data());
  list.push_back(nullptr);
  return list;
}
} // namespace

bool is_worker() { return std::getenv("STIFLE_WORKER") != nullptr; }

Workers::Workers(int number, const std::vector<std::string> &arguments)
{
  std::vector<std::string> words = arguments, settings;
  words.insert(words.begin(), "stifle");
  for (char **setting = environ; *setting; ++setting)
    settings.push_back(*setting);
  settings.push_back(mark);
  const std::vector<char *> word_list = pointers(words), setting_list = pointers(settings);
  const pid_t               self = ::getpid();
  for (int i = 0; i < number; ++i)
  {
    const pid_t child = ::fork();
    if (child == 0)
      become(self, word_list.data(), setting_list.data());
    if (child < 0)
      throw Error(std::string("cannot start a worker: ") + std::strerror(errno));
    running_.push_back(child);
  }
}

Workers::~Workers()
{
  stop();
  for (const pid_t child : running_)
    ::waitpid(child, nullptr, 0);
}

bool Workers::any_left()
{
  running_.erase(std::remove_if(running_.begin(), running_.end(),
                                [this](pid_t child) {
                                  int status = 0;
                                  if (::waitpid(child, &status, WNOHANG) != child)
                                    return false;
                                  if (WIFSIGNALED(status))
                                    ++killed_, log("warning", fmt::format("worker {} was killed by signal {}: the others take its case over", child, WTERMSIG(status)));
                                  else if (WEXITSTATUS(status) != 0)
                                    log("warning", fmt::format("worker {} ended with code {}: see its log", child, WEXITSTATUS(status)));
                                  return true;
                                }),
                 running_.end());
  return !running_.empty();
}

void Workers::stop()
{
  for (const pid_t child : running_)
    ::kill(child, SIGTERM);
}
} // namespace stifle::app
