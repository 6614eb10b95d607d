// scenarios/app/workers.h - helper processes of a run: this program with the same study, one thread each, quiet
#pragma once
#include <string>
#include <sys/types.h>
#include <vector>

namespace stifle::app
{
/// True in a process that Workers started.
bool is_worker();

class Workers
{
public:
  /// `arguments` of `stifle`. They end with this process, whatever ends it.
  Workers(int number, const std::vector<std::string> &arguments);
  ~Workers(); ///< asks those left to stop, and waits for them
  Workers(const Workers &) = delete;
  Workers &operator=(const Workers &) = delete;

  bool any_left(); ///< says in the log how those that failed ended
  int  killed() const { return killed_; } ///< by a signal, so far
  void stop();     ///< as an interrupt does: they end between two states

private:
  std::vector<pid_t> running_;
  int                killed_ = 0;
};
} // namespace stifle::app
