// scenarios/app/stages.h - what a user sees of a run: one line a stage with fraction, elapsed and time left
//   live    standard output and error are terminals: the lines of the open stages are rewritten in place on standard error, a finished
//           one stays; warnings and errors stand above them
//   plain   anything else, quiet: on standard error one line when a stage ends, warnings and errors; no escape code, no carriage return
//   json    --json: one object a line on standard output and nothing else there (scenarios/README.md)
//   log.txt keeps every detail in each of them. Thread safe
#pragma once
#include "models/core/parallel.h"
#include "scenarios/app/stage_lines.h"
#include <memory>

namespace stifle::app
{
enum class Show { live, plain, json };
Show show_here(bool json); ///< json, or what standard output and error are

/// Shows stages and the log while it lives; one at a time. Without it only log.txt is written.
class Screen
{
public:
  explicit Screen(Show show);
  ~Screen();
  Screen(const Screen &) = delete;
  Screen &operator=(const Screen &) = delete;
};

/// The closing text, wrapped to 80 columns: standard output, with --json standard error.
void print_closing(const std::string &text);
/// One object on standard output where --json asks for it, else nothing.
void print_event(const nlohmann::json &event);

class Stage
{
public:
  Stage(const std::string &name, double units);
  ~Stage(); ///< one that has not ended is taken off the screen
  Stage(const Stage &) = delete;
  Stage &operator=(const Stage &) = delete;

  void say(const std::string &what);  ///< what is being done; the first call starts its clock
  void add(double units);             ///< work done; the clock stops when all of it is
  void skip(double units);            ///< work that need not be done
  void end(const std::string &what);  ///< what came of it
  /// For work that counts its own pieces: together they are `units` of this stage. Stops the work after an interrupt and writes a
  /// line to log.txt every 5 s after the first 2 s: "12/150 <what>, about 7 s left".
  Progress part(double units, const std::string &what);

private:
  struct Entry;
  friend class ScreenState;
  std::shared_ptr<Entry> entry_;
};
} // namespace stifle::app
