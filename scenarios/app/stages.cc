#include "scenarios/app/stages.h"
#include "models/core/log.h"
#include "models/core/text_width.h"
#include "scenarios/app/interrupt.h"
#include <algorithm>
#include <condition_variable>
#include <cstdlib>
#include <cstring>
#include <fmt/format.h>
#include <mutex>
#include <nlohmann/json.hpp>
#include <sys/ioctl.h>
#include <thread>
#include <unistd.h>
#include <vector>

using nlohmann::json;

namespace stifle::app
{
struct Stage::Entry
{
  StageView view;
  double    start_s = -1, full_s = -1, told_s = -1; ///< clock started, work done, last event; -1: not yet

  StageView now() const
  {
    StageView shown = view;
    shown.elapsed_s = start_s < 0 ? 0 : (full_s < 0 ? elapsed_seconds() : full_s) - start_s;
    return shown;
  }
};

namespace
{
constexpr double tell_every_s = 0.5;

/// Past stdio: the picture process is forked while the ticker may be writing.
void put(int file, const std::string &text)
{
  for (std::size_t at = 0; at < text.size();)
  {
    const ssize_t wrote = write(file, text.data() + at, text.size() - at);
    if (wrote < 0 && errno != EINTR)
      return; // nobody reads: the run goes on
    at += static_cast<std::size_t>(std::max<ssize_t>(wrote, 0));
  }
}

int terminal_columns()
{
  winsize size{};
  return ioctl(STDERR_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 20 ? size.ws_col - 1 : page_columns - 1;
}
} // namespace

class ScreenState
{
public:
  using EntryPtr = std::shared_ptr<Stage::Entry>;

  void open(Show show)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    show_ = show;
    on_   = true;
    if (show_ == Show::live)
      ticker_ = std::thread([this] { tick(); });
  }

  void close()
  {
    {
      const std::lock_guard<std::mutex> lock(mutex_);
      erase();
      on_ = false;
    }
    wake_.notify_all();
    if (ticker_.joinable())
      ticker_.join();
  }

  bool is_json()
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    return on_ && show_ == Show::json;
  }

  void event(const json &object)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (on_ && show_ == Show::json)
      put_event(object);
  }

  void add(const EntryPtr &entry)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    open_.push_back(entry);
  }

  /// `change` under the lock, then the screen follows. `work` starts the clock.
  template <class Change> void change(const EntryPtr &entry, bool work, const Change &change)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    const double                      now = elapsed_seconds();
    if (work && entry->start_s < 0)
      entry->start_s = now;
    change(entry->view);
    if (entry->view.done >= entry->view.total - 1e-9 && entry->full_s < 0)
      entry->full_s = now;
    if (on_ && show_ == Show::json && work && (entry->told_s < 0 || now > entry->told_s + tell_every_s))
    {
      entry->told_s = now;
      put_event(stage_event("progress", entry->now()));
    }
    else if (on_ && show_ == Show::live && now > drawn_s_ + 0.1)
      redraw();
  }

  void end(const EntryPtr &entry, const std::string &what)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (!leave(entry))
      return;
    entry->view.skipped += entry->view.total - entry->view.done;
    entry->view.done    = entry->view.total;
    entry->view.message = what;
    if (entry->full_s < 0)
      entry->full_s = elapsed_seconds();
    if (on_ && show_ == Show::json)
      put_event(stage_event("end", entry->now()));
    else if (on_)
      put_above(end_line(entry->now()) + "\n");
  }

  void drop(const EntryPtr &entry)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (leave(entry) && on_ && show_ == Show::live)
      redraw();
  }

  /// A line of the log: warnings and errors are for the user, the rest is detail.
  void logged(const std::string &stage, const std::string &text)
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    const bool urgent = stage == "warning" || stage == "error" || stage == "stop";
    if (on_ && show_ == Show::json && (urgent || stage == "start" || stage == "check"))
      put_event(run_event(stage == "check" ? "note" : stage, text));
    else if (on_ && show_ != Show::json && urgent)
      put_above(wrap_text(stage + ": " + text) + "\n");
  }

private:
  bool leave(const EntryPtr &entry)
  {
    const auto found = std::find(open_.begin(), open_.end(), entry);
    if (found == open_.end())
      return false;
    open_.erase(found);
    return true;
  }

  static void put_event(const json &object) { put(STDOUT_FILENO, object.dump(-1, ' ', false, json::error_handler_t::replace) + "\n"); }

  std::string erasing() const { return lines_ > 0 ? fmt::format("\x1b[{}A\r\x1b[J", lines_) : std::string(); }
  void        erase()
  {
    if (show_ == Show::live)
      put(STDERR_FILENO, erasing());
    lines_ = 0;
  }

  void put_above(const std::string &text)
  {
    if (show_ != Show::live)
      return put(STDERR_FILENO, text);
    erase();
    put(STDERR_FILENO, text);
    redraw();
  }

  /// In one piece, so that nothing flickers.
  void redraw()
  {
    std::string text = erasing();
    lines_           = 0;
    for (const EntryPtr &entry : open_)
      if (entry->start_s >= 0)
      {
        text += live_line(entry->now(), terminal_columns()) + "\n";
        ++lines_;
      }
    put(STDERR_FILENO, text);
    drawn_s_ = elapsed_seconds();
  }

  void tick()
  {
    std::unique_lock<std::mutex> lock(mutex_);
    while (on_)
    {
      wake_.wait_for(lock, std::chrono::milliseconds(500));
      if (on_)
        redraw();
    }
  }

  std::mutex              mutex_;
  std::condition_variable wake_;
  std::thread             ticker_;
  Show                    show_ = Show::plain;
  bool                    on_   = false;
  int                     lines_ = 0; ///< of the open stages, now on the terminal
  double                  drawn_s_ = 0;
  std::vector<EntryPtr>   open_;
};

namespace
{
ScreenState &the_screen()
{
  static ScreenState state;
  return state;
}
} // namespace

Show show_here(bool json)
{
  if (json)
    return Show::json;
  const char *kind = std::getenv("TERM");
  const bool  can  = kind != nullptr && std::strcmp(kind, "dumb") != 0;
  return can && isatty(STDOUT_FILENO) && isatty(STDERR_FILENO) ? Show::live : Show::plain;
}

Screen::Screen(Show show)
{
  the_screen().open(show);
  set_log_screen([](const std::string &stage, const std::string &text) { the_screen().logged(stage, text); });
}

Screen::~Screen()
{
  set_log_screen([](const std::string &, const std::string &) {});
  the_screen().close();
}

void print_closing(const std::string &text)
{
  std::fflush(stdout);
  put(the_screen().is_json() ? STDERR_FILENO : STDOUT_FILENO, wrap_text(text));
}

void print_event(const json &event) { the_screen().event(event); }

Stage::Stage(const std::string &name, double units) : entry_(std::make_shared<Entry>())
{
  entry_->view.name  = name;
  entry_->view.total = units;
  the_screen().add(entry_);
}

Stage::~Stage() { the_screen().drop(entry_); }

void Stage::say(const std::string &what)
{
  the_screen().change(entry_, true, [&](StageView &view) { view.message = what; });
}

void Stage::add(double units)
{
  the_screen().change(entry_, true, [&](StageView &view) { view.done = std::min(view.total, view.done + units); });
}

void Stage::skip(double units)
{
  the_screen().change(entry_, false, [&](StageView &view) {
    const double more = std::min(units, view.total - view.done);
    view.done += more;
    view.skipped += more;
  });
}

void Stage::end(const std::string &what) { the_screen().end(entry_, what); }

Progress Stage::part(double units, const std::string &what)
{
  constexpr double first_s = 2, every_s = 5;
  const double     start = elapsed_seconds();
  say(what);
  return [this, units, what, start, next = start + first_s, before = std::size_t{0}](std::size_t done, std::size_t total) mutable {
    stop_if_interrupted();
    add(units * static_cast<double>(done - before) / static_cast<double>(total));
    before           = done;
    const double now = elapsed_seconds();
    if (now < next || done == total)
      return;
    next              = now + every_s;
    const double left = (now - start) / static_cast<double>(done) * static_cast<double>(total - done);
    log(entry_->view.name, fmt::format("{}/{} {}, about {:.0f} s left", done, total, what, left));
  };
}
} // namespace stifle::app
