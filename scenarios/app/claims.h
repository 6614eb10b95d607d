// scenarios/app/claims.h - who works on which case of a results folder, for any number of processes on any number of machines
//   claim    the file FOLDER/NAME.G, made with O_CREAT | O_EXCL: one process gets it. G counts take-overs: the holder is that of the
//            largest G, and a claim is taken over by making the next file, which again only one process can. Nothing is renamed or
//            removed while the folder is in use, so no one can take a claim that another has just renewed
//   alive    the holder touches its claims every 10 s. A claim is stale when it was not touched for 60 s by the clock of the file
//            system, and at once when its process ran on this machine (same boot, same space of process ids) and is gone
//   lost     a process that slept for more than a minute may have lost a claim: `mine` tells before a result is kept
//   errors   Error when the folder cannot be written
#pragma once
#include <condition_variable>
#include <map>
#include <mutex>
#include <string>
#include <thread>

namespace stifle::app
{
struct ClaimTimes
{
  double touched_every_s = 10, stale_after_s = 60;
};

struct ClaimHolder
{
  std::string host, machine, start; ///< machine: boot and space of process ids; start: clock tick at which the process began
  long        pid = 0;
};

class ClaimBoard
{
public:
  explicit ClaimBoard(const std::string &folder, const ClaimTimes &times = {});
  ~ClaimBoard();
  ClaimBoard(const ClaimBoard &) = delete;
  ClaimBoard &operator=(const ClaimBoard &) = delete;

  bool take(const std::string &name);       ///< false: someone else works on it
  bool mine(const std::string &name) const; ///< held, and no one took it over
  /// Processes that died, or were lost, with this case in hand; one that gave it back did not.
  int deaths(const std::string &name) const;
  void finish(const std::string &name);     ///< no longer touched; the file stays for those who look
  void give_back(const std::string &name);  ///< not done: free for others at once
  /// Any claim of the folder that is alive; empty folder: false.
  bool anyone_at_work() const;

private:
  std::string path(const std::string &name, int generation) const;
  int  generations(const std::string &name) const;
  /// Why the claim is free for others, empty while it is alive.
  std::string why_stale(const std::string &file) const;
  double now_of_file_system() const;
  void touch_held();

  const std::string                  folder_;
  const ClaimTimes                   times_;
  const ClaimHolder                  me_;
  mutable std::mutex                 mutex_;
  std::condition_variable            wake_;
  std::map<std::string, int>         held_; ///< name to generation
  bool                               end_ = false;
  std::thread                        toucher_;
};

/// Name of this machine, without signs that a file name cannot have.
std::string host_name();
} // namespace stifle::app
